import type { Figure, Figures } from './figures.ts';

/** Figures as rows: of a text for the terminal, of a table for the docs. */

const percent = (value: number): string => (100 * value).toFixed(1);
const inPercent = ({ value, low, high }: Figure): string =>
  `${percent(value)} (${percent(low)} to ${percent(high)})`;
const small = (value: number): string => value.toExponential(1).replace('e-', 'e−').replace('e+', 'e');

const COLUMNS: readonly [head: string, cell: (figures: Figures) => string][] = [
  ['draws', ({ draws, without }) => (without > 0 ? `${draws} (${without} without)` : String(draws))],
  ['U holds, %', ({ coverage }) => inPercent(coverage)],
  ['unflagged misses, %', ({ unflagged }) => inPercent(unflagged)],
  ['false alarms, %', ({ falseAlarms }) => percent(falseAlarms.value)],
  ['RMS, adopted', ({ rms }) => small(rms)],
  ['plain mean', ({ plainRms }) => small(plainRms)],
  [
    'ratio',
    ({ rmsRatio: { value, low, high } }) => `${value.toFixed(2)} (${low.toFixed(2)} to ${high.toFixed(2)})`,
  ],
  ['median U', ({ medianU }) => small(medianU)],
];

const WIDTHS = [6, 21, 21, 16, 13, 11, 22, 9];

export const textHead = (): string =>
  `${COLUMNS.map(([head], index) => head.padEnd(WIDTHS[index])).join(' ')} scene`;

export const textRow = (name: string, figures: Figures, missed: readonly string[]): string => {
  const cells = COLUMNS.map(([, cell], index) => cell(figures).padEnd(WIDTHS[index])).join(' ');
  return `${cells} ${name}${missed.length > 0 ? `  MISSED: ${missed.join('; ')}` : ''}`;
};

export const markdownHead = (): string =>
  `| scene | ${COLUMNS.map(([head]) => head).join(' | ')} |\n| --- | ${COLUMNS.map(() => '---').join(' | ')} |`;

export const markdownRow = (name: string, figures: Figures): string =>
  `| ${name} | ${COLUMNS.map(([, cell]) => cell(figures)).join(' | ')} |`;
