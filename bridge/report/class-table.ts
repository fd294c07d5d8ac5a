import { resultText } from '../calc-core/rounding.ts';
import type { RunView } from '../run/view.ts';
import { aboutRun } from './about.ts';
import type { ClassBench, ClassGroup, ClassResult, ClassRun } from './class-groups.ts';
import type { CsvValue } from './csv.ts';
import { csvText } from './csv.ts';
import { remarksOf } from './group-texts.ts';

/** A class as one CSV table: a row for each run and each EMF by a reference cell, then for each group of results its benches and itself. */

const COLUMNS = [
  'row',
  'file',
  'by',
  'startedUtc',
  'bench',
  'procedure',
  'measurand',
  'quantity',
  'unit',
  'value',
  'u',
  'k',
  'U',
  'rounded',
  'check',
  'sets',
  'nullsAccepted',
  'nullsFound',
  'endCorrectionCm',
  'uEndCorrectionCm',
  'stops',
  'warnings',
  'findings',
  'copyOf',
  'offOthers',
  'offOthersPerU',
  'en',
  'runs',
  'benches',
  'valueBy',
  'standardDeviation',
  'robustStandardDeviation',
  'mandelH',
  'mandelK',
  'repeatability',
  'betweenBenches',
  'reproducibility',
  'remark',
] as const;

type Cells = Partial<Record<(typeof COLUMNS)[number], CsvValue>>;

/** The table as CSV (RFC 4180): rows of `runs` in their order, groups behind them. */
export function classCsv(runs: readonly ClassRun[], groups: readonly ClassGroup[]): string {
  const rows = [
    ...runs.flatMap((run) => rowsOf(run, groups)),
    ...groups.flatMap((group) => [
      ...group.benches.map((bench, at) => benchCells(group, bench, at)),
      groupCells(group),
    ]),
  ];
  return csvText(
    COLUMNS,
    rows.map((cells) => COLUMNS.map((column) => cells[column] ?? null)),
  );
}

function rowsOf(run: ClassRun, groups: readonly ClassGroup[]): Cells[] {
  const { file, view } = run;
  const { by, startedUtc } = aboutRun(view);
  const whose = { file, by, startedUtc, bench: view.bench?.name ?? '', procedure: view.work.procedure };
  const found = groups.flatMap(({ measurand, results }) =>
    results.filter((one) => one.run === run).map((one) => ({ measurand: measurand.text, ...one })),
  );
  const main = found.find(({ result }) => result.unit !== 'V');
  return [
    { row: 'run', ...whose, ...(main && resultCells(main)), ...courseCells(view) },
    ...found.filter((one) => one !== main).map((emf) => ({ row: 'emf', ...whose, ...resultCells(emf) })),
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
    endCorrectionCm: withDigitsOf(correction?.value ?? null, correction?.u ?? null),
    uEndCorrectionCm: digits(correction?.u ?? null),
    stops: count('stop'),
    warnings: count('warn'),
    findings: [...new Set(findings.map((finding) => finding.code))].join(' '),
  };
}

function resultCells({
  measurand,
  result,
  check,
  copyOf,
  others,
  en,
}: ClassResult & { measurand: string }): Cells {
  const { quantity, unit, value, u, k, U } = result;
  return {
    measurand,
    quantity,
    unit,
    value: withDigitsOf(value, U),
    u: digits(u),
    k: digits(k),
    U: digits(U),
    rounded: resultText({ value, U, unit }),
    check: check === null ? '' : check.agrees ? 'agrees' : 'differs',
    copyOf,
    offOthers: digits(others?.off ?? null),
    offOthersPerU: digits(others?.offPerU ?? null),
    en: digits(en),
  };
}

function benchCells(group: ClassGroup, bench: ClassBench, at: number): Cells {
  const { name, values, mean, standardDeviation, h, k } = bench;
  const isOff = group.meanTest?.index === at && group.meanTest.verdict !== 'none';
  const isSpread = group.spreadTest?.index === at && group.spreadTest.verdict !== 'none';
  return {
    row: 'bench',
    ...groupWords(group),
    bench: name,
    value: withDigitsOf(mean, standardDeviation ?? group.standardDeviation),
    runs: values.length,
    standardDeviation: digits(standardDeviation),
    mandelH: digits(h),
    mandelK: digits(k),
    remark: [
      ...(isOff ? [`mean: ${group.meanTest?.verdict}`] : []),
      ...(isSpread ? [`spread: ${group.spreadTest?.verdict}`] : []),
    ].join(', '),
  };
}

function groupCells(group: ClassGroup): Cells {
  const { benches, centre, standardDeviation, precision } = group;
  return {
    row: 'group',
    ...groupWords(group),
    value: withDigitsOf(centre.value, centre.robustStandardDeviation ?? standardDeviation),
    valueBy: centre.by,
    runs: benches.reduce((sum, { values }) => sum + values.length, 0),
    benches: benches.length,
    standardDeviation: digits(standardDeviation),
    robustStandardDeviation: digits(centre.robustStandardDeviation),
    repeatability: digits(precision.repeatability),
    betweenBenches: digits(precision.betweenBenches),
    reproducibility: digits(precision.reproducibility),
    remark: remarksOf(group)
      .map(({ text }) => text)
      .join('; '),
  };
}

const groupWords = ({ measurand, quantity, unit }: ClassGroup): Cells => ({
  measurand: measurand.text,
  quantity,
  unit,
});

/** More than anybody states, and no digit that nobody could: exact numbers are in each run's JSON. */
const DIGITS = 4;
const digits = (value: number | null): number | null =>
  value === null ? null : Number(value.toPrecision(DIGITS));

/** To the decimal place of the last of its uncertainty's digits. */
function withDigitsOf(value: number | null, uncertainty: number | null): number | null {
  if (value === null || !uncertainty) return value === null ? null : Number(value.toPrecision(2 * DIGITS));
  const decimals = DIGITS - 1 - Math.floor(Math.log10(uncertainty));
  return decimals < 0 || decimals > 15 ? value : Number(value.toFixed(decimals));
}
