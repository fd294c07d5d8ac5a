import type { FindingCode, RunView, Severity } from '../../../bridge/run/view.ts';

/** How a finding is shown: by a run that has it, and by one near to it, just inside the limit, that has not. */
export interface Shown {
  /** What tells the runs from others of the same code. */
  when: string;
  has: () => RunView;
  hasNot: () => RunView;
  severity: Severity;
  /** Set and cell that are named beside the sentence; absent where the finding is of none. */
  set?: number;
  cell?: number;
  /** The sentence, with its numbers. */
  says: RegExp;
}

/** Every code has at least one; those that are said in two weights, or of two causes, have more. */
export type ShownOf<Code extends FindingCode> = Record<Code, readonly [Shown, ...Shown[]]>;

/** A run that several findings look at is made once. */
export function once(make: () => RunView): () => RunView {
  let made: RunView | null = null;
  return () => {
    made ??= make();
    return made;
  };
}
