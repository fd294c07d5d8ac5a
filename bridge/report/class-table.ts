import type { Outcome } from '../calc-core/outcome.ts';
import { plainMean } from '../calc-core/plain-mean.ts';
import { aboutRun } from './about.ts';
import type { CsvValue } from './csv.ts';
import { csvText } from './csv.ts';
import type { ReportedRun } from './read-run.ts';

/** A class at one look: a row for each run, then a row for each quantity with the spread of the class. */

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
] as const;

type Cells = Partial<Record<(typeof COLUMNS)[number], CsvValue>>;

const resultOf = ({ view }: ReportedRun): Outcome | null => view.work.outcome?.result ?? null;

/** Mean and standard deviation of the results, each quantity by itself. */
export function classSpread(runs: readonly ClassRun[]): ClassSpread[] {
  const results = runs.map(({ run }) => resultOf(run)).filter((result) => result !== null);
  const quantities = [...new Set(results.map((result) => result.quantity))];
  return quantities.map((quantity) => {
    const same = results.filter((result) => result.quantity === quantity);
    const { mean, standardDeviation, n } = plainMean(same.map((result) => result.value));
    return { quantity, unit: same[0].unit, runs: n, mean, standardDeviation };
  });
}

/** The table as CSV (RFC 4180). `row` tells runs from the class's own rows, whose `value` is the mean. */
export function classCsv(runs: readonly ClassRun[]): string {
  const spread = classSpread(runs);
  const rows = [...runs.map((one) => runCells(one, spread)), ...spread.map(spreadCells)];
  return csvText(
    COLUMNS,
    rows.map((cells) => COLUMNS.map((column) => cells[column] ?? null)),
  );
}

function runCells({ file, run }: ClassRun, spread: readonly ClassSpread[]): Cells {
  const { view } = run;
  const { work } = view;
  const about = aboutRun(view);
  const count = (severity: string) => view.findings.filter((finding) => finding.severity === severity).length;
  const correction = work.outcome?.endCorrectionCm;
  return {
    row: 'run',
    file,
    by: about.by,
    startedUtc: about.startedUtc,
    bench: view.bench?.name ?? '',
    procedure: work.procedure,
    ...resultCells(run, spread),
    sets: work.sets.length,
    nullsAccepted: view.nulls.filter((found) => found.used).length,
    nullsFound: view.nulls.length,
    endCorrectionCm: correction?.value ?? null,
    uEndCorrectionCm: correction?.u ?? null,
    stops: count('stop'),
    warnings: count('warn'),
    findings: [...new Set(view.findings.map((finding) => finding.code))].join(' '),
  };
}

function resultCells(run: ReportedRun, spread: readonly ClassSpread[]): Cells {
  const result = resultOf(run);
  if (result === null) return {};
  const { quantity, unit, value, u, k, U } = result;
  const ofClass = spread.find((candidate) => candidate.quantity === quantity);
  const offMean = ofClass === undefined || ofClass.runs < 2 ? null : value - ofClass.mean;
  const check = run.check === null ? '' : run.check.agrees ? 'agrees' : 'differs';
  return {
    quantity,
    unit,
    value,
    u,
    k,
    U,
    check,
    offMean,
    offMeanPerU: offMean === null ? null : offMean / U,
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
