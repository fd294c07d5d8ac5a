import type { ReportJson } from '../../../bridge/report/report-json.ts';
import type { Kernel } from './by-hand.ts';
import {
  adopted,
  alphaContribution,
  byTheBook,
  combined,
  likeness,
  position,
  readings,
  sensitivities,
  thermal,
  together,
  turns,
  wire,
} from './by-hand.ts';
import type { Given, GivenLength } from './given.ts';
import { givenOf } from './given.ts';

/** The worked example as Markdown, and its figures for comparison with the program. */

const table = (head: string[], rows: (string | number)[][]): string =>
  [head, head.map(() => '---:'), ...rows].map((row) => `| ${row.join(' | ')} |`).join('\n');

const by = (value: number, decimals: number): string => value.toFixed(decimals).replace('-', '−');
const braced = (value: number, decimals: number): string =>
  value < 0 ? `(${by(value, decimals)})` : by(value, decimals);

/** What may be cut off an uncertainty: GUM 7.2.6 rounds 10.47 up to 11, and 28.05 to 28. */
const MOST_LOST = 0.01;

/** Two digits of the uncertainty, rounded up where more than a hundredth of it would be lost; the value to the same place. */
function printed(ratio: number, uMillionths: number): string {
  const dropped = String(Math.floor(uMillionths)).length - 2;
  const exact = uMillionths / 10 ** dropped;
  const nearest = Math.round(exact);
  const digits = exact - nearest > MOST_LOST * exact ? nearest + 1 : nearest;
  const decimals = 6 - dropped;
  return `${ratio.toFixed(decimals)} ± ${(digits / 10 ** decimals).toFixed(decimals)}`;
}

const K = 1.96;

export function workedExample(report: ReportJson, commandLine: string) {
  const given = givenOf(report);
  const book = byTheBook(given);
  const fit = adopted(given);
  const c = sensitivities(given, fit.under, fit.ratio);
  const parts = {
    readings: readings(c),
    withNulls: given.withNulls,
    position: position(c, given),
    wire: wire(c, given),
    turns: turns(c, given),
    thermal: thermal(c, given),
    alpha: alphaContribution(c, given),
  };
  const contributions = [
    ...parts.readings.map((part) => part.contribution),
    ...parts.withNulls.map((part) => part.contribution),
    parts.position.contribution,
    parts.wire.contribution,
    parts.turns.contribution,
    parts.thermal.contribution,
    parts.alpha,
  ];
  const u = combined(contributions);
  const U = Math.round(K * u * 10) / 10;
  const result = printed(fit.ratio, U);
  const markdown = [
    introduction(commandLine),
    givenText(given),
    bookText(book),
    adoptedText(given, fit),
    sensitivityText(c, fit),
    readingText(parts.readings, given),
    withNullsText(given),
    positionText(parts.position, given),
    wireText(parts.wire, given),
    turnsText(parts.turns, given),
    thermalText(parts.thermal, given),
    `## 11. The end correction\n\n|c(α)| · u(α) = ${by(Math.abs(c.alpha), 4)} · ${given.uAlphaCm} = **${by(parts.alpha / 100, 4)}** · 10⁻⁴ = ${by(parts.alpha, 2)} · 10⁻⁶.`,
    resultText(contributions, u, U, result),
  ].join('\n\n');
  return { markdown: `${markdown}\n`, book, fit, c, parts, u, U, result };
}

const introduction = (commandLine: string): string => `# A run worked out by hand

The run is the one that \`${commandLine}\` simulates; bench, cells and readings are invented. What is worked out here is what
its record prints, step by step and from the digits printed in the steps before, with a pocket calculator's means. The test
\`tests/report/worked-example.test.ts\` writes this page from the run, does the arithmetic without the program's own
calculations, and fails where a figure of the program differs. After a change that is meant,
\`npx vitest run tests/report/worked-example.test.ts -u\` writes the page anew.

The method is in JCGM 100:2008 (GUM), clauses 4 and 5 and annex G. The balancing lengths themselves come from the nulls; this
page begins where they are known.`;

function givenText({ lengths, ...given }: Given): string {
  const rows = lengths.map((length) => [
    length.name,
    by(length.driverMa, 2),
    by(length.lengthCm, 4),
    length.row,
    by(length.scaleCm, 4),
    length.sense === 1 ? '+' : '−',
    by(length.u, 2),
  ]);
  return `## 1. What is given

l1,s and l2,s are the balancing lengths of cell 1 and cell 2 in set s. On odd rows the length is 100 cm for each row before plus the scale
reading, on even rows 100 cm for each row to the end of this one less the scale reading; the sense says which (A lies on the left).

${table(['length', 'driver / mA', 'l / cm', 'row', 'scale x / cm', 'sense', 'u of reading / 10⁻⁴ cm'], rows)}

From the bench file: position sensor u = ${given.uPositionCm} cm, alike over d = ${given.correlationCm} cm; uneven wire u = ${given.uWire};
each strip between two rows u = ${given.uTurnCm} cm; thermal EMFs u = ${given.uThermalUv} µV for each cell; end correction α = 0 with u = ${given.uAlphaCm} cm;
wire ${given.wireOhm} Ω over ${given.wireCm} cm.`;
}

function bookText({ ratios, n, mean, deviations, s, sOfMean }: ReturnType<typeof byTheBook>): string {
  const rows = ratios.map(({ set, first, second, ratio }, index) => [
    set,
    `${by(first.lengthCm, 4)} / ${by(second.lengthCm, 4)}`,
    by(ratio, 7),
    by(deviations[index], 1),
  ]);
  return `## 2. By the book

${table(['set', 'l1 / l2', 'ratio', 'less the mean / 10⁻⁶'], rows)}

Mean: (${ratios.map(({ ratio }) => by(ratio, 7)).join(' + ')}) / ${n} = **${by(mean, 7)}**.

Standard deviation: √((${deviations.map((d) => `${by(Math.abs(d), 1)}²`).join(' + ')}) / ${n - 1}) = ${by(s, 1)} · 10⁻⁶; of the mean: ${by(s, 1)} / √${n} = ${by(sOfMean, 1)} · 10⁻⁶.`;
}

function adoptedText({ lengths }: Given, { terms, over, under, ratio }: ReturnType<typeof adopted>): string {
  const first = lengths.filter(({ cell }) => cell === 1);
  const rows = first.map(({ set, weight }) => {
    const [one, two] = terms.filter(({ length }) => length.set === set);
    return [set, by(weight, 4), by(one.value, 5), by(two.value, 5)];
  });
  return `## 3. The adopted estimate

E1/E2 = Σ w_s (l1,s + α) / Σ w_s (l2,s + α), with α = 0 as known beforehand. The weights are those that the fit found and the record prints.
Any weights give an estimate of E1/E2; these give one that is uncertain by little, and their uncertainty is worked out below just as they are.

${table(['set', 'w', 'w · l1', 'w · l2'], [...rows, ['sum', '', by(over, 5), by(under, 5)]])}

E1/E2 = ${by(over, 5)} / ${by(under, 5)} = **${by(ratio, 7)}**.`;
}

function sensitivityText(
  { each, weights, alpha }: ReturnType<typeof sensitivities>,
  { under, ratio }: ReturnType<typeof adopted>,
): string {
  return `## 4. Sensitivity coefficients

With D = ${by(under, 5)} cm for the sum below the line: c(l1,s) = w_s / D, c(l2,s) = −(E1/E2) w_s / D, c(α) = Σw (1 − E1/E2) / D.

${table(
  ['input', 'c / 10⁻⁴ cm⁻¹'],
  each.map(({ length, c }) => [length.name, by(c, 4)]),
)}

c(α) = ${by(weights, 4)} · (1 − ${by(ratio, 7)}) / ${by(under, 5)} = ${by(alpha, 4)} · 10⁻⁴ cm⁻¹.`;
}

function readingText(parts: ReturnType<typeof readings>, { lengths }: Given): string {
  return `## 5. Readings

Each reading is an input of its own, and contributes |c| · u:

${table(
  ['input', 'u / 10⁻⁴ cm', 'contribution / 10⁻⁶'],
  parts.map(({ name, contribution }, index) => [name, by(lengths[index].u, 2), by(contribution, 2)]),
)}`;
}

const withNullsText = ({ withNulls }: Given): string => `## 6. What comes with the nulls

Lag, zero and drift are common to lengths by amounts that the null finding knows; their contributions are taken from the budget:

${table(
  ['input', 'contribution / 10⁻⁶'],
  withNulls.map(({ symbol, contribution }) => [symbol.replace('d_', 'δ '), by(contribution, 2)]),
)}`;

const kernelTable = (
  { rows }: Kernel,
  factor: string,
  factorDecimals: number,
  sharedDecimals: number,
): string =>
  table(
    ['length', factor, 'S', 'product'],
    rows.map(({ name, factor: value, shared }) => [
      name,
      by(value, factorDecimals),
      by(shared, sharedDecimals),
      by(value * shared, sharedDecimals),
    ]),
  );

function positionText(kernel: Kernel, { lengths, uPositionCm, correlationCm }: Given): string {
  const [first, second] = lengths;
  const alike = likeness(first.scaleCm - second.scaleCm, correlationCm);
  return `## 7. Calibration of the position sensor

Two lengths whose scale readings are x and x' share its error by exp(−((x − x')/${correlationCm} cm)²), with the sign of both senses. With g = sense · c the
variance is u² Σ g S, S = Σ' g' exp(…) over all lengths, the length itself included. For example ${first.name} and ${second.name}: x − x' = ${by(first.scaleCm - second.scaleCm, 4)} cm,
exp(…) = ${by(alike, 4)}.

${kernelTable(kernel, 'g', 4, 4)}

Sum of the products: ${by(kernel.variance, 4)}. Contribution: ${uPositionCm} · √${by(kernel.variance, 4)} · 10⁻⁴ = **${by(kernel.contribution, 2)}** · 10⁻⁶.`;
}

function wireText(kernel: Kernel, { lengths, uWire }: Given): string {
  const [first, second]: GivenLength[] = lengths;
  return `## 8. Uneven wire

Unevenness adds up along the wire like a random walk: two lengths share short · long · √(short/long), in m². For example ${first.name} and ${second.name}:
${by(together(first.lengthCm, second.lengthCm), 4)} m². Again S = Σ' c' · shared over all lengths, with c in 10⁻⁴ cm⁻¹:

${kernelTable(kernel, 'c', 4, 3)}

Sum of the products: ${by(kernel.variance, 2)}. Contribution: ${uWire} · √${by(kernel.variance, 2)} · 10⁻² = **${by(kernel.contribution, 2)}** · 10⁻⁶.`;
}

function turnsText({ strips, variance, contribution }: ReturnType<typeof turns>, { uTurnCm }: Given): string {
  return `## 9. Strips between the rows

All lengths beyond a strip share its error: the sum of their c, in 10⁻⁴ cm⁻¹.

${table(
  ['strip', 'sum of c beyond it'],
  strips.map(({ strip, beyond }) => [strip, by(beyond, 4)]),
)}

Sum of the squares: ${by(variance, 4)}. Contribution: ${uTurnCm} · √${by(variance, 4)} · 10⁻⁴ = **${by(contribution, 2)}** · 10⁻⁶.`;
}

function thermalText(
  { rows, first, second, contribution }: ReturnType<typeof thermal>,
  { uThermalUv, wireOhm, wireCm }: Given,
): string {
  return `## 10. Thermal EMFs

The gradient, driver current · ${wireOhm} Ω / ${wireCm} cm, turns the voltage of a cell's leads into length, the same voltage in all sets of the cell.

${table(
  ['length', 'gradient / µV cm⁻¹', 'c / gradient / 10⁻⁷ µV⁻¹'],
  rows.map(({ name, uvPerCm, quotient }) => [name, by(uvPerCm, 1), by(quotient, 4)]),
)}

Sums: cell 1 ${by(first, 4)}, cell 2 ${by(second, 4)}. Contribution: ${uThermalUv} · √(${braced(first, 4)}² + ${braced(second, 4)}²) · 10⁻⁷ = **${by(contribution, 2)}** · 10⁻⁶.`;
}

function resultText(contributions: readonly number[], u: number, U: number, result: string): string {
  return `## 12. Result

Combined standard uncertainty (GUM 5.1.2), in 10⁻⁶: √(${contributions.map((part) => `${by(part, 2)}²`).join(' + ')}) = **${by(u, 1)}**.

The degrees of freedom of the readings hardly matter beside what is known beforehand: by Welch and Satterthwaite (GUM G.4.1) they come out far above
1000, and Student's t for 95 % is ${K} (GUM table G.2, last line). U = ${K} · ${by(u, 1)} · 10⁻⁶ = ${by(U, 1)} · 10⁻⁶.

To two digits of the uncertainty, rounded up where more than a hundredth of it would be lost (GUM 7.2.6):

**E1/E2 = ${result}**

which is what the program prints.`;
}
