import type { ComparisonOutcome } from '../../bridge/calc-core/outcome.ts';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { ComparisonSetView, RunView } from '../../bridge/run/view.ts';
import { comparisonOf } from '../run/work-of.ts';

/** A run on an even bench as a hand calculation, in print: docs/worked-example.md is this text. */

/** Decimals of the lengths in print; enough for the last printed digit of the result. */
const CM = 4;

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
    adoptedPart(run),
    budgetPart(run),
    resultPart(run),
  ].join('\n\n');
}

const INTRODUCTION = `# One run, worked by hand

The numbers are those of a run of the simulated student, with seed 1, on a bench whose wire is even. Bench, cells and readings are invented. What a
program is needed for is the fit that weighs the sets; with its weights the rest can be worked on paper, and comes out equal to the
program to the last printed digit. \`tests/worked-example\` keeps this page equal to the program and works every step again from
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

function adoptedPart(run: Run): string {
  const { rows, weights, first, second } = sums(run);
  const alpha = run.result.budget.find((row) => row.symbol === 'alpha');
  if (alpha === undefined) throw new Error('no end correction in the budget');
  const value = (first + weights * alpha.estimate) / (second + weights * alpha.estimate);
  return `## 3. Adopted: with the end correction

E1/E2 = Σ w (l1 + α) / Σ w (l2 + α). Of α it is known beforehand that it is ${alpha.estimate} cm with a standard uncertainty of ${digits(alpha.standardUncertainty, 3)} cm. The fit
chose the weights so that α troubles the result little: sets with short lengths, where α counts for more, take part with a minus sign.

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

E1/E2 = (${first.toFixed(6)} + ${weights.toFixed(4)} · ${alpha.estimate}) / (${second.toFixed(6)} + ${weights.toFixed(4)} · ${alpha.estimate}) = ${value.toFixed(6)}.

The same fit puts α at ${(run.outcome.endCorrectionCm?.value ?? 0).toFixed(2)} cm with a standard uncertainty of ${(run.outcome.endCorrectionCm?.u ?? 0).toFixed(2)} cm.`;
}

function budgetPart(run: Run): string {
  const { result } = run;
  const { weights, second } = sums(run);
  const squares = result.budget.reduce((sum, row) => sum + Number(digits(row.contribution, 4)) ** 2, 0);
  return `## 4. Budget

Sensitivities are the derivatives of that formula: for l1 of a set w / Σ w l2, for l2 the same times -E1/E2, for α
(1 - E1/E2) Σ w / Σ w l2 = (1 - ${result.value.toFixed(6)}) · ${weights.toFixed(4)} / ${second.toFixed(6)} = ${digits(((1 - Number(result.value.toFixed(6))) * Number(weights.toFixed(4))) / Number(second.toFixed(6)), 4)} per cm. An effect that several lengths share acts through all of
them; its row gives the root of the sum of squares over its independent parts. A contribution is sensitivity times standard uncertainty.

${table(
  ['input', 'what it is', 'standard uncertainty', 'unit', 'sensitivity', 'contribution'],
  result.budget.map((row) => [
    row.symbol,
    row.meaning.text,
    digits(row.standardUncertainty, 4),
    row.unit,
    digits(row.sensitivity, 4),
    digits(row.contribution, 4),
  ]),
)}

The root of the sum of the squares of the last column: u = ${digits(Math.sqrt(squares), 4)}.`;
}

function resultPart({ result }: Run): string {
  const rounded = roundTogether(result.value, result.U);
  const dof = result.dof === null ? 'without limit' : digits(result.dof, 3);
  return `## 5. Result

Degrees of freedom by Welch and Satterthwaite: ${dof}. Student's t for ${result.coverage * 100} %: k = ${result.k.toFixed(3)}.
U = k u = ${result.k.toFixed(3)} · ${digits(result.u, 4)} = ${digits(Number(result.k.toFixed(3)) * Number(digits(result.u, 4)), 4)}. Rounded to two digits, and the value to the same place (GUM 7.2.6):

**E1/E2 = ${rounded.value} ± ${rounded.uncertainty}** (k = ${result.k.toFixed(2)}, 95 %)
`;
}
