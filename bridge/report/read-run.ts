import type { Formulas } from '../calc-core/formulas.ts';
import { checkedView } from '../run/checked-view.ts';
import type { RunFold } from '../run/fold.ts';
import type { RunView } from '../run/view.ts';
import type { Progress } from '../session/fold-recording.ts';
import { foldRecording } from '../session/fold-recording.ts';
import type { MakeFold } from '../session/make-fold.ts';

/** A converter's span in counts; null for a channel that the board does not have. */
export type Span = { minCount: number; maxCount: number } | null;

/** One run, read and folded: what every kind of report is made of. A function of the recording alone. */
export interface ReportedRun {
  /** With the Monte Carlo check of its intervals. */
  view: RunView;
  spans: { gal: Span; pos: Span; drv: Span };
  formulas: Formulas;
}

export type RunReading = { ok: true; run: ReportedRun } | { ok: false; text: string };

/** The same for every report, so that a recording gives the same report for ever. */
const CHECK_SEED = 101;

export async function readRun(path: string, makeFold: MakeFold, progress?: Progress): Promise<RunReading> {
  const folded = await foldRecording(path, makeFold, progress);
  return folded.ok ? { ok: true, run: reportedRun(folded.fold) } : { ok: false, text: folded.fault.text };
}

export function reportedRun(fold: RunFold): ReportedRun {
  const { board, formulas } = fold;
  return {
    view: checkedView(fold, CHECK_SEED),
    spans: { gal: board.span('gal'), pos: board.span('pos'), drv: board.span('drv') },
    formulas,
  };
}
