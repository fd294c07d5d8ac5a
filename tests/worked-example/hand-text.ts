import type { ComparisonOutcome } from '../../bridge/calc-core/outcome.ts';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { ComparisonSetView, RunView } from '../../bridge/run/view.ts';
import { comparisonOf } from '../run/work-of.ts';

/** A run on an even bench as a hand calculation, in print: docs/worked-example.md is this text. */

/** Decimals of the lengths in print; enough for the last printed digit of the result. */
const CM = 5;

interface Run {
  sets: ComparisonSetView[];
  outcome: ComparisonOutcome;
  result: NonNullable<ComparisonOutcome['result']>;
}

/** Columns padded to one width, so that a formatter of Markdown leaves the page alone. */
function table(heads: string[], rows: string[][]): string {
  const widths = heads.map((_, column) =>
    Math.max(3, ...[heads, ...rows].map((cells) => cells[column].length)),
  );
  const rule = widths.map((width) => '-'.repeat(width));
  const line = (cells: string[]) =>
    `| ${cells.map((cell, column) => cell.padEnd(widths[column])).join(' | ')} |`;
  return [heads, rule, ...rows].map(line).join('\n');
}

const digits = (value: number, count: number): string =>
  Math.abs(value) < 1e-3 && value !== 0
    ? value.toExponential(count - 1)
    : Number(value.toPrecision(count)).toString();

export function runOf(view: RunView): Run {
  const { outcome, sets } = comparisonOf(view);
  if (outcome === null || outcome.result === null) throw new Error('the run has no result');
  return { sets, outcome, result: outcome.result };
}

const weight = ({ result }: Run, set: number): number => result.constants[`w_${set}`];

/** The sums of the formula, worked with the numbers as printed. */
export function sums(run: Run) {
  const printed = (cm: number | null) => Number((cm ?? 0).toFixed(CM));
  const rows = run.sets.map((set) => ({
    w: weight(run, set.set),
    l1: printed(set.l1Cm),
    l2: printed(set.l2Cm),
  }));
  const over = (value: (row: (typeof rows)[number]) => number) =>
    rows.reduce((sum, row) => sum + row.w * value(row), 0);
  return { rows, weights: over(() => 1), first: over(({ l1 }) => l1), second: over(({ l2 }) => l2) };
}

export function handText(view: RunView): string {
  const run = runOf(view);
  return [
    INTRODUCTION,
    lengthsPart(run),
    bookPart(run),
    singlePart(run),
    averagePart(run),
    budgetPart(run),
    resultPart(run),
  ].join('\n\n');
}

const INTRODUCTION = `# One run, worked by hand

The numbers are those of a run of the simulated student, with seed 1, on a bench whose wire is even. Bench, cells and readings are invented. What a
program is needed for are the fits that weigh the sets; with the weights of one of them, the most probable, its ratio can be worked on paper
and comes out equal to the last printed digit. \`tests/worked-example\` keeps this page equal to the program and works every step again from
the numbers printed here. The method and its sources are in [uncertainty.md](uncertainty.md).`;

const lengthsPart = ({ sets }: Run): string => `## 1. Balancing lengths

The nulls of each place, brought to the set's driver current and averaged:

${table(
  ['set', 'driver current in mA', 'l1 in cm', 'l2 in cm', 'l1/l2'],
  sets.map((set) => [
    `${set.set}`,
    (set.driverMa ?? 0).toFixed(2),
    (set.l1Cm ?? 0).toFixed(CM),
    (set.l2Cm ?? 0).toFixed(CM),
    (set.ratio ?? 0).toFixed(6),
  ]),
)}`;

function bookPart({ outcome }: Run): string {
  const book = outcome.byTheBook;
  if (book?.standardDeviation == null) throw new Error('no plain mean');
  return `## 2. By the book

The mean of the ratios is ${book.mean.toFixed(6)}, their experimental standard deviation ${book.standardDeviation.toFixed(6)}
(GUM 4.2.1, 4.2.2). It leaves out the end correction α, the length that the resistance between terminal A and the zero of the scale is worth, which
moves all four ratios the same way, so that no mean over sets can average it away.`;
}

function singlePart(run: Run): string {
  const { rows, weights, first, second } = sums(run);
  const { singleModel } = run.result;
  const alpha = endRow(run);
  const end = printedEnd(alpha.estimate);
  const value = (first + weights * end) / (second + weights * end);
  return `## 3. The most probable model

One explanation of the four sets is more probable than any other; it has ${percent(singleModel.probability)} of the whole. Like every other it is the formula
E1/E2 = Σ w (l1 + α) / Σ w (l2 + α), here with α = ${end} cm before the sets are looked at, and weights w from a least-squares fit. The weights
carry what the sets say of α: sets with short lengths, where α counts for more, may take part with a minus sign.

${table(
  ['set', 'w', 'w l1', 'w l2'],
  rows.map(({ w, l1, l2 }, index) => [
    `${run.sets[index].set}`,
    w.toFixed(4),
    (w * l1).toFixed(6),
    (w * l2).toFixed(6),
  ]),
)}

Sums: Σ w = ${weights.toFixed(4)}, Σ w l1 = ${first.toFixed(6)}, Σ w l2 = ${second.toFixed(6)}.

E1/E2 = (${first.toFixed(6)} + ${weights.toFixed(4)} · ${end}) / (${second.toFixed(6)} + ${weights.toFixed(4)} · ${end}) = ${value.toFixed(6)}.

If that were the truth, its standard uncertainty would be ${digits(singleModel.u, 4)}.`;
}

function endRow({ result }: Run) {
  const alpha = result.budget.find((row) => row.symbol === 'alpha');
  if (alpha === undefined) throw new Error('no end correction in the budget');
  return alpha;
}

const printedEnd = (cm: number): number => Number(cm.toFixed(CM));
const percent = (share: number): string => `${digits(100 * share, 2)} %`;

function averagePart({ result, outcome }: Run): string {
  const { value, singleModel } = result;
  const end = outcome.endCorrectionCm ?? { value: 0, u: 0 };
  return `## 4. The average

Nobody knows which explanation is the true one, so the value is the average over all of them, each weighted by its probability. It is
${value.toFixed(7)}: the most probable model is off it by ${digits(singleModel.value - value, 3)}. Over all of them α is ${end.value.toFixed(2)} cm with a standard uncertainty of
${end.u.toFixed(2)} cm.`;
}

function budgetPart({ result }: Run): string {
  const squares = result.budget.reduce((sum, row) => sum + Number(digits(row.contribution, 5)) ** 2, 0);
  return `## 5. Budget

A contribution is how far an input moves the average: sensitivity times standard uncertainty, as a root mean square over the models. An effect that
several lengths share acts through all of them; its row gives the root of the sum of squares over its independent parts. The last row
is how far the models lie apart. "Assumed" marks what nobody stated of the bench: an ordinary size stands in.

${table(
  ['input', 'what it is', 'standard uncertainty', 'unit', 'sensitivity', 'contribution', 'assumed'],
  result.budget.map((row) => [
    row.symbol,
    row.meaning.text,
    digits(row.standardUncertainty, 5),
    row.unit,
    digits(row.sensitivity, 5),
    digits(row.contribution, 5),
    row.assumed ? 'yes' : '',
  ]),
)}

The root of the sum of the squares of the contributions: u = ${digits(Math.sqrt(squares), 5)}.`;
}

function resultPart({ result }: Run): string {
  const rounded = roundTogether(result.value, result.U);
  const printed = Number(result.k.toFixed(4)) * Number(digits(result.u, 5));
  return `## 6. Result

The smallest half-width that holds ${result.coverage * 100} % of the average over the models is k = ${result.k.toFixed(4)} times u. It is not Student's t: few models lie far out.
U = k u = ${result.k.toFixed(4)} · ${digits(result.u, 5)} = ${digits(printed, 4)}. Rounded to two digits, and the value to the same place (GUM 7.2.6):

**E1/E2 = ${rounded.value} ± ${rounded.uncertainty}** (k = ${result.k.toFixed(2)}, 95 %)
`;
}
