import type { Formulas } from '../calc-core/formulas.ts';
import type { Run } from '../run/run.ts';
import type { RunView } from '../run/view.ts';
import type { MakeRun } from '../session/make-run.ts';
import type { Fingerprint, ReadOptions } from '../session/run-from-recording.ts';
import { runFromRecording } from '../session/run-from-recording.ts';

/** A converter's span in counts; null for a channel that the board does not have. */
export type Span = { minCount: number; maxCount: number } | null;

/** One run, read and folded: what every kind of report is made of. A function of the recording alone. */
export interface ReportedRun {
  /** With the Monte Carlo check of its intervals. */
  view: RunView;
  spans: Readonly<Record<'gal' | 'pos' | 'drv', Span>>;
  formulas: Formulas;
  /** Which bytes of the recording it was made from. */
  recording: Fingerprint;
}

export type RunReading = { ok: true; run: ReportedRun } | { ok: false; text: string };

/** The same for every report, so that a recording gives the same report for ever. */
const CHECK_SEED = 101;

export async function readRun(
  path: string,
  makeRun: MakeRun,
  options: ReadOptions = {},
): Promise<RunReading> {
  const read = await runFromRecording(path, makeRun, options);
  return read.ok
    ? { ok: true, run: reportedRun(read.run, read.fingerprint) }
    : { ok: false, text: read.fault.text };
}

export function reportedRun(run: Run, recording: Fingerprint): ReportedRun {
  const view = run.checkedView(CHECK_SEED);
  return { view, spans: run.state.board.spans, formulas: run.formulas, recording };
}
