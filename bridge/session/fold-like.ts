import type { RecordLine } from '../recording/record.ts';
import type { RunView } from '../run/view.ts';
import type { ServedReading } from '../serve/served-session.ts';

/** What a session needs of the fold; `RunFold` of bridge/run is one. */
export interface FoldLike {
  accept(record: RecordLine | 'unreadable'): void;
  onReading?: (reading: ServedReading) => void;
  view(): RunView;
  /** Grows whenever anything but the newest reading may have changed. */
  readonly version: number;
  /** An `undo` took back something that is folded already: fold again from the start. */
  readonly needsRefold: boolean;
}

/** A fold that knows beforehand what is taken back later; `events` are the `!` records of the whole recording. */
export type MakeFold = (events: readonly RecordLine[]) => FoldLike;
