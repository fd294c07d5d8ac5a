import type { IntervalCheck, Outcome } from '../calc-core/outcome.ts';
import { plainMean } from '../calc-core/plain-mean.ts';
import { resultText } from '../calc-core/rounding.ts';
import type { RunView } from '../run/view.ts';
import { aboutRun } from './about.ts';
import type { CsvValue } from './csv.ts';
import { csvText } from './csv.ts';
import type { ReportedRun } from './read-run.ts';

/**
 * A class at one look: a row for each run, one more where a reference cell gave it an EMF, then a row for each quantity with
 * the spread of the class.
 */

export interface ClassRun {
  /** The recording's name. */
  file: string;
  run: ReportedRun;
}

export interface ClassSpread {
  quantity: Outcome['quantity'];
  unit: Outcome['unit'];
  runs: number;
  mean: number;
  /** Of the runs' results about their mean; null for a single run. */
  standardDeviation: number | null;
}

const COLUMNS = [
  'row',
  'file',
  'by',
  'startedUtc',
  'bench',
  'procedure',
  'quantity',
  'unit',
  'value',
  'u',
  'k',
  'U',
  'check',
  'sets',
  'nullsAccepted',
  'nullsFound',
  'endCorrectionCm',
  'uEndCorrectionCm',
  'stops',
  'warnings',
  'findings',
  'offMean',
  'offMeanPerU',
  'runs',
  'standardDeviation',
  'rounded',
] as const;

type Cells = Partial<Record<(typeof COLUMNS)[number], CsvValue>>;

/** What a run came to: E1/E2 or r, and beside it the EMF of the cell that a reference cell measured. */
const outcomesOf = ({ view: { work } }: ReportedRun): Found[] =>
  [work.outcome, work.procedure === 'emf-comparison' ? work.emf : null].flatMap((outcome) =>
    outcome === null || outcome.result === null ? [] : [{ result: outcome.result, check: outcome.check }],
  );

interface Found {
  result: Outcome;
  check: IntervalCheck | null;
}

const isEmf = ({ result }: Found): boolean => result.unit === 'V';

/** Mean and standard deviation of the results, each quantity by itself. */
export function classSpread(runs: readonly ClassRun[]): ClassSpread[] {
  const results = runs.flatMap(({ run }) => outcomesOf(run)).map(({ result }) => result);
  const quantities = [...new Set(results.map((result) => result.quantity))];
  return quantities.map((quantity) => {
    const same = results.filter((result) => result.quantity === quantity);
    const { mean, standardDeviation, n } = plainMean(same.map((result) => result.value));
    return { quantity, unit: same[0].unit, runs: n, mean, standardDeviation };
  });
}

/** The table as CSV (RFC 4180). `row` is `run` once for each recording, `emf` for its EMF, `class` for a mean of the class. */
export function classCsv(runs: readonly ClassRun[]): string {
  const spread = classSpread(runs);
  const rows = [...runs.flatMap((one) => rowsOf(one, spread)), ...spread.map(spreadCells)];
  return csvText(
    COLUMNS,
    rows.map((cells) => COLUMNS.map((column) => cells[column] ?? null)),
  );
}

function rowsOf({ file, run }: ClassRun, spread: readonly ClassSpread[]): Cells[] {
  const { view } = run;
  const { by, startedUtc } = aboutRun(view);
  const whose = { file, by, startedUtc, bench: view.bench?.name ?? '', procedure: view.work.procedure };
  const found = outcomesOf(run);
  const main = found.find((one) => !isEmf(one));
  return [
    { row: 'run', ...whose, ...(main && outcomeCells(main, spread)), ...courseCells(view) },
    ...found.filter(isEmf).map((emf) => ({ row: 'emf', ...whose, ...outcomeCells(emf, spread) })),
  ];
}

/** How the run went: of the recording, whatever it gave. */
function courseCells({ work, nulls, findings }: RunView): Cells {
  const count = (severity: string) => findings.filter((finding) => finding.severity === severity).length;
  const correction = work.outcome?.endCorrectionCm;
  return {
    sets: work.sets.length,
    nullsAccepted: nulls.filter((found) => found.used).length,
    nullsFound: nulls.length,
    endCorrectionCm: correction?.value ?? null,
    uEndCorrectionCm: correction?.u ?? null,
    stops: count('stop'),
    warnings: count('warn'),
    findings: [...new Set(findings.map((finding) => finding.code))].join(' '),
  };
}

function outcomeCells({ result, check }: Found, spread: readonly ClassSpread[]): Cells {
  const { quantity, unit, value, u, k, U } = result;
  const ofClass = spread.find((candidate) => candidate.quantity === quantity);
  const offMean = ofClass === undefined || ofClass.runs < 2 ? null : value - ofClass.mean;
  return {
    quantity,
    unit,
    value,
    u,
    k,
    U,
    check: check === null ? '' : check.agrees ? 'agrees' : 'differs',
    offMean,
    offMeanPerU: offMean === null ? null : offMean / U,
    rounded: resultText({ value, U, unit }),
  };
}

const spreadCells = ({ quantity, unit, runs, mean, standardDeviation }: ClassSpread): Cells => ({
  row: 'class',
  quantity,
  unit,
  value: mean,
  runs,
  standardDeviation,
});
