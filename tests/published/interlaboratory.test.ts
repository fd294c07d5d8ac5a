import { describe, expect, it } from 'vitest';
import { betweenStatistic, precisionOf, withinStatistic } from '../../bridge/calc-core/interlaboratory.ts';
import { cochranCritical, grubbsCritical, grubbsTest } from '../../bridge/calc-core/outliers.ts';
import { algorithmA } from '../../bridge/calc-core/robust-mean.ts';

/** Statistics of several benches against published examples. Data and certified values are from memory and fit together. */

// NIST Statistical Reference Datasets, analysis of variance, SiRstv: resistivity of silicon by five instruments.
const SILICON = [
  [196.3052, 196.124, 196.189, 196.2569, 196.3403],
  [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
  [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
  [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
  [196.2119, 196.1051, 196.185, 196.0052, 196.209],
];
const WITHIN = 1.0831828e-2;
const BETWEEN = 1.27865654e-2;

describe('SiRstv of NIST StRD, certified mean squares', () => {
  const found = precisionOf(SILICON);

  it('the repeatability is the root of the mean square within', () => {
    expect((found.repeatability ?? 0) ** 2 / WITHIN).toBeCloseTo(1, 9);
  });

  it('the spread between benches is what the mean square between leaves over', () => {
    expect((found.betweenBenches ?? 0) ** 2 / ((BETWEEN - WITHIN) / 5)).toBeCloseTo(1, 8);
    expect((found.reproducibility ?? 0) ** 2).toBeCloseTo(WITHIN + (BETWEEN - WITHIN) / 5, 12);
  });

  it('k averages to 1 in squares, and h to 0 with a standard deviation of 1 (as ISO 5725-2 defines them)', () => {
    const k = withinStatistic(SILICON).map(Number);
    const h = betweenStatistic(SILICON).map(Number);
    expect(k.reduce((sum, one) => sum + one ** 2, 0) / 5).toBeCloseTo(1, 12);
    expect(h.reduce((sum, one) => sum + one, 0)).toBeCloseTo(0, 9);
    expect(h.reduce((sum, one) => sum + one ** 2, 0) / 4).toBeCloseTo(1, 12);
  });
});

/** Tables have three decimals, not always rounded to the nearest. */
const A_TABLE_DIGIT = 0.001;
const expectTabled = (found: number, tabled: number) =>
  expect(Math.abs(found - tabled)).toBeLessThanOrEqual(A_TABLE_DIGIT);

// ISO 5725-2:1994, table 4 (Cochran, 5 % and 1 %) and table 5 (Grubbs, one largest or one smallest), in part.
it.each([
  [8, 2, 0.68, 0.794],
  [10, 2, 0.602, 0.718],
  [5, 5, 0.544, 0.633],
])(
  'Cochran’s critical values for %d benches of %d runs are those of the table',
  (benches, runs, at5, at1) => {
    expectTabled(cochranCritical(benches, runs, 0.05), at5);
    expectTabled(cochranCritical(benches, runs, 0.01), at1);
  },
);

it.each([
  [8, 2.126, 2.274],
  [10, 2.29, 2.482],
])('Grubbs’ critical values for %d values are those of the table', (count, at5, at1) => {
  expectTabled(grubbsCritical(count, 0.05), at5);
  expectTabled(grubbsCritical(count, 0.01), at1);
});

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1: uranium isotopes by mass spectrometer.
it('Grubbs’ statistic of the handbook’s example is 2.4687, an outlier', () => {
  const found = grubbsTest([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]);
  expect(found?.statistic).toBeCloseTo(2.4687, 3);
  expect(found).toMatchObject({ index: 7, verdict: 'outlier' });
  // one-sided at 5 %
  expect(grubbsCritical(8, 0.1)).toBeCloseTo(2.032, 3);
});

// Copper in wholemeal flour (Analytical Methods Committee, Analyst 114, 1989, 1693). Huber's proposal 2 with k = 1.5 gives 3.2055 and
// 0.67365 (Venables and Ripley, Modern Applied Statistics with S, 4th ed., 5.5); algorithm A is the same with 1.134 rounded.
// biome-ignore format: a table of the source
const COPPER = [
  2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6, 3.7, 3.7,
];

it('algorithm A gives the published robust mean and standard deviation of the copper data', () => {
  const { mean, standardDeviation } = algorithmA(COPPER);
  expect(mean).toBeCloseTo(3.2055, 3);
  expect(standardDeviation / 0.67365).toBeCloseTo(1, 2);
});
