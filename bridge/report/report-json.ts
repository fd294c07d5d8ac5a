import manifest from '../../package.json' with { type: 'json' };
import type {
  BudgetRow,
  ComparisonOutcome,
  IntervalCheck,
  Outcome,
  PlainMean,
} from '../calc-core/outcome.ts';
import type { Procedure } from '../run/procedure.ts';
import type { Finding, NullView, ReferenceCellView, RunView, RunWork, WireLineView } from '../run/view.ts';
import type { Fingerprint } from '../session/run-from-recording.ts';
import type { ReportedRun } from './read-run.ts';

/**
 * What a report says to a script, format `tenwire-report/1`; `docs/report.schema.json` states it as a schema. Numbers
 * stand at full precision. A number that does not exist is null: a length whose row is unknown, degrees of freedom
 * that nothing limits.
 */

// Words are English and bring nothing along for other languages: a script goes by codes and symbols.

/** Everything but the picture, which is for plots. */
type JsonNull = Omit<NullView, 'picture' | 'whyNot'> & { whyNot: string };
type JsonFinding = Omit<Finding, 'descriptor'>;
type JsonReference = Omit<ReferenceCellView, 'trouble'> & { trouble: string | null };
type JsonResult = Omit<Outcome, 'budget' | 'method' | 'mathMl'> & { method: string };
type JsonRow = Omit<BudgetRow, 'meaning'> & { meaning: string };

/** One run as a script sees it. */
export interface ReportJson {
  format: 'tenwire-report/1';
  program: { name: string; version: string };
  /** The bytes of the recording that it was worked out from. */
  recording: Fingerprint;
  procedure: Procedure;
  about: RunView['about'];
  bench: RunView['bench'];
  board: { name: string; firmware: string; rateHz: number } | null;
  durationS: number;
  nulls: JsonNull[];
  sets: RunWork['sets'];
  /** Null where the readings allow none; a finding says why. `dof` null stands for infinity. */
  result: JsonResult | null;
  /** One row for each independent cause of error; empty without a result. */
  budget: JsonRow[];
  endCorrectionCm: { value: number; u: number } | null;
  byTheBook: PlainMean | null;
  /** The bench's cells of known EMF at the temperature of the run. */
  referenceCells: JsonReference[];
  /** EMF of the other cell by the reference cell; null without one. */
  emf: { result: JsonResult; budget: JsonRow[]; byTheBook: PlainMean | null } | null;
  /** The wire as a measure of voltage, a line for each set with a null of a reference cell. */
  wireLines: WireLineView[];
  /** Monte Carlo check of the interval; null where it was not made. */
  check: IntervalCheck | null;
  zero: RunView['zero'];
  stream: RunView['stream'];
  findings: JsonFinding[];
}

/** A run as one JSON object. */
export function reportJson({ view, recording }: Pick<ReportedRun, 'view' | 'recording'>): ReportJson {
  const { board, work } = view;
  const { outcome } = work;
  const result = outcome?.result ?? null;
  return {
    format: 'tenwire-report/1',
    program: { name: manifest.name, version: manifest.version },
    recording,
    procedure: work.procedure,
    about: view.about,
    bench: view.bench,
    board: board && { name: board.name, firmware: board.firmware, rateHz: board.rateHz },
    durationS: view.durationS,
    nulls: view.nulls.map(jsonNull),
    sets: work.sets,
    result: result === null ? null : jsonResult(result),
    budget: result === null ? [] : result.budget.map(jsonRow),
    endCorrectionCm: outcome?.endCorrectionCm ?? null,
    byTheBook: outcome?.byTheBook ?? null,
    referenceCells: view.referenceCells.map(jsonReference),
    emf: work.procedure === 'emf-comparison' ? jsonEmf(work.emf) : null,
    wireLines: work.procedure === 'emf-comparison' ? work.wireLines : [],
    check: outcome?.check ?? null,
    zero: view.zero,
    stream: view.stream,
    findings: view.findings.map(jsonFinding),
  };
}

function jsonEmf(emf: ComparisonOutcome | null): ReportJson['emf'] {
  if (emf === null || emf.result === null) return null;
  const { result, byTheBook } = emf;
  return { result: jsonResult(result), budget: result.budget.map(jsonRow), byTheBook };
}

const jsonResult = ({ budget: _, mathMl: __, method, ...result }: Outcome): JsonResult => ({
  ...result,
  method: method.text,
});

const jsonRow = ({ meaning, ...row }: BudgetRow): JsonRow => ({ ...row, meaning: meaning.text });

const jsonNull = ({ picture: _, whyNot, ...nullPoint }: NullView): JsonNull => ({
  ...nullPoint,
  whyNot: whyNot?.text ?? '',
});

const jsonReference = ({ trouble, ...reference }: ReferenceCellView): JsonReference => ({
  ...reference,
  trouble: trouble?.text ?? null,
});

const jsonFinding = ({ descriptor: _, ...finding }: Finding): JsonFinding => finding;
