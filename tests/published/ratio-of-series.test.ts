import { describe, expect, test } from 'vitest';
import { columnAt, columnsOf, type Effect } from '../../bridge/calc-core/effects.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { message } from '../../bridge/calc-core/messages.ts';
import { plainMean } from '../../bridge/calc-core/plain-mean.ts';
import { propagate } from '../../bridge/calc-core/propagate.ts';

/**
 * JCGM 100:2008 (GUM), annex H.4, measurement of activity: the ratio of two correlated series, each decaying in time, worked
 * in both ways that the annex shows. Data and published figures from memory of the text; recomputed from the data, they agree.
 */

const DECAY_PER_MIN = 1.25894e-4;
const COUNTED_MIN = 60;
/** Time in minutes and counts of standard, blank and sample, Table H.7. */
// biome-ignore format: a table of the source
const CYCLES = [
  [243.74, 15380, 4054, 367.37, 41432], [984.53, 14978, 3922, 1107.66, 38706], [1723.87, 14394, 4200, 1846.99, 35860],
  [2463.17, 13254, 3830, 2586.28, 32238], [3217.56, 12516, 3956, 3340.68, 29640], [3956.83, 11058, 3980, 4079.94, 26356],
] as const;

const rate = (counts: number, blank: number, tMin: number): number =>
  ((counts - blank) / COUNTED_MIN) * Math.exp(DECAY_PER_MIN * tMin);
const sample = CYCLES.map(([, , blank, tMin, counts]) => rate(counts, blank, tMin));
const standard = CYCLES.map(([tMin, counts, blank]) => rate(counts, blank, tMin));
const ratios = sample.map((value, index) => value / standard[index]);

const meanAndU = (values: readonly number[]) => {
  const { mean, standardDeviation, n } = plainMean(values);
  return { mean, u: (standardDeviation ?? 0) / Math.sqrt(n) };
};
const [x, s, r] = [sample, standard, ratios].map(meanAndU);
const covariance =
  sample.reduce((sum, value, index) => sum + (value - x.mean) * (standard[index] - s.mean), 0) / (6 * 5);

const formulas = await loadFormulas();

interface Given {
  symbol: string;
  estimate: number;
  u: number;
}

const STANDARD: readonly Given[] = [
  { symbol: 'A_S', estimate: 0.1368, u: 0.0018 },
  { symbol: 'm_S', estimate: 5.0192, u: 0.005 },
  { symbol: 'm_x', estimate: 5.0571, u: 0.001 },
];

const effect = (symbol: string, estimate: number, columns: number[][]): Effect => ({
  symbol,
  meaning: message('row-common', { name: symbol }),
  estimate,
  unit: '1',
  standardUncertainty: 1,
  distribution: 'normal',
  dof: Number.POSITIVE_INFINITY,
  columns,
});

/** The formula over what is known alone and what the series give together. */
function activity(
  text: string,
  series: readonly { symbol: string; estimate: number }[],
  together: number[][],
) {
  const inputs = [...STANDARD, ...series];
  const alone = STANDARD.map(({ symbol, estimate, u }, index) =>
    effect(symbol, estimate, [columnAt(inputs.length, index, u)]),
  );
  const columns = together.map((column) => [0, 0, 0, ...column]);
  const effects = [...alone, effect('series', 0, columns)];
  return propagate({ formula: formulas.compile(text), inputs, constants: {}, effects });
}

describe('GUM H.4, ratio of two correlated series', () => {
  test('the means of the two rates and their correlation (Table H.8)', () => {
    expect(x.mean).toBeCloseTo(652.6, 1);
    expect(x.u).toBeCloseTo(6.42, 2);
    expect(s.mean).toBeCloseTo(206.09, 2);
    expect(s.u).toBeCloseTo(3.79, 2);
    expect(covariance / (x.u * s.u)).toBeCloseTo(0.646, 3);
  });

  test('H.4.3.1: from the two means with their covariance, 0.4300 with 0.0083 Bq/g', () => {
    const together = columnsOf([
      [x.u ** 2, covariance],
      [covariance, s.u ** 2],
    ]);
    const means = [
      { symbol: 'R_x', estimate: x.mean },
      { symbol: 'R_s', estimate: s.mean },
    ];
    const found = activity('A_S*(m_S/m_x)*(R_x/R_s)', means, together ?? []);
    // published from rounded means; unrounded it is 0.42995
    expect(Math.abs(found.value - 0.43)).toBeLessThan(0.0001);
    expect(found.u).toBeCloseTo(0.0083, 4);
    expect(found.u).toBeCloseTo(0.008333849, 8);
  });

  test('H.4.3.2: from the ratio of each cycle, 3.170 with 0.046, so 0.4304 with 0.0084 Bq/g', () => {
    expect(r.mean).toBeCloseTo(3.17, 3);
    expect(r.u).toBeCloseTo(0.046, 3);
    const found = activity('A_S*(m_S/m_x)*R', [{ symbol: 'R', estimate: r.mean }], [[r.u]]);
    expect(found.value).toBeCloseTo(0.4304, 4);
    expect(found.u).toBeCloseTo(0.0084, 4);
  });
});
