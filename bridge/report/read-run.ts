import type { IntervalCheck } from '../calc-core/outcome.ts';
import { checkInterval } from '../run/check-interval.ts';
import type { RunView } from '../run/view.ts';
import type { Progress } from '../session/fold-recording.ts';
import { foldRecording } from '../session/fold-recording.ts';
import type { MakeFold } from '../session/make-fold.ts';

/** One recording, read and folded: what every kind of report is made of. */
export interface ReportedRun {
  path: string;
  view: RunView;
  check: IntervalCheck | null;
}

export type RunReading = { ok: true; run: ReportedRun } | { ok: false; text: string };

/** The same for every report, so that a report is a function of the recording alone. */
const CHECK_SEED = 101;

export async function readRun(path: string, makeFold: MakeFold, progress?: Progress): Promise<RunReading> {
  const folded = await foldRecording(path, makeFold, progress);
  if (!folded.ok) return { ok: false, text: folded.fault.text };
  const { fold } = folded;
  return { ok: true, run: { path, view: fold.view(), check: checkInterval(fold, CHECK_SEED) } };
}
