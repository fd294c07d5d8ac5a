import type { RecordingOwner } from '../../bridge/recording/write.ts';

/** A recording's owner that has nothing to say. */
export const STANDS_STILL: RecordingOwner = {
  stateChanged: () => {},
  openingAnew: () => [],
  wentOn: () => {},
};
