import type { Combined } from './observations.ts';
import type { RunWork } from './view.ts';

/** One balancing length of a set, for what there is to say of it. */
export interface SetLength {
  set: number;
  cell: number;
  combined: Combined;
}

/** What the accepted nulls of a run come to, and the lengths that it was made of. */
export interface WorkedOut<Work extends RunWork = RunWork> {
  work: Work;
  lengths: SetLength[];
}
