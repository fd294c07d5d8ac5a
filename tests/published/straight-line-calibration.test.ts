import { expect, test } from 'vitest';
import { averagedFit } from '../../bridge/calc-core/averaged-fit.ts';
import { columnsOf } from '../../bridge/calc-core/effects.ts';

/**
 * ISO/TS 28037:2010, clause 10: a straight line y = a + bx through seven points with errors in both variables, each correlated by
 * common effects. Data from a stored copy of the example; a = 0.3424, b = 1.0012 with 2.0569 and 0.0090, chi-square 1.772 from
 * memory, recomputed with SciPy. For us b is the ratio and the intercept a nuisance, an end correction.
 */
const X = [50.4, 99.0, 149.9, 200.4, 248.5, 299.7, 349.1];
const Y = [52.3, 97.8, 149.7, 200.1, 250.4, 300.9, 349.2];
// biome-ignore format: a table of the source
const COVARIANCE_X = [
  [0.5, 0, 0.25, 0, 0.25, 0, 0.25], [0, 1.25, 1, 0, 0, 1, 1], [0.25, 1, 1.5, 0, 0.25, 1, 1.25],
  [0, 0, 0, 1.25, 1, 1, 1], [0.25, 0, 0.25, 1, 1.5, 1, 1.25], [0, 1, 1, 1, 1, 2.25, 2],
  [0.25, 1, 1.25, 1, 1.25, 2, 2.5],
];
const covarianceY = (i: number, j: number): number => (i === j ? 5 : 1);

/** x in half units: the ratio is then 2b, far from 1, where an end correction would say nothing. */
const HALF = 0.5;
const N = X.length;

/** Inputs in turn: y and x of each point. */
const covariance = Array.from({ length: 2 * N }, (_, a) =>
  Array.from({ length: 2 * N }, (_, b) => {
    if (a % 2 !== b % 2) return 0;
    const [i, j] = [a >> 1, b >> 1];
    return a % 2 === 0 ? covarianceY(i, j) : HALF ** 2 * COVARIANCE_X[i][j];
  }),
);

test('slope, its uncertainty and the nuisance beside it, as published', () => {
  const fit = averagedFit({
    sets: X.map((x, index) => ({
      upper: Y[index],
      lower: HALF * x,
      upperAt: 2 * index,
      lowerAt: 2 * index + 1,
      offset: 0,
      slope: 1,
      slopeRate: 0,
      thirdAt: 0,
    })),
    columns: columnsOf(covariance) ?? [],
    scaled: [],
    scenarios: [{ factors: [], probability: 1 }],
    endCorrection: [{ weight: 1, mean: 0, variance: 1e8 }],
    slips: [],
  });
  expect(fit).not.toBeNull();
  const { theta, within, between, parts } = fit as NonNullable<typeof fit>;
  const slope = HALF * theta;
  const uSlope = HALF * Math.sqrt(within + between);
  expect(slope).toBeCloseTo(1.0012, 4);
  expect(uSlope).toBeCloseTo(0.009, 4);
  expect(Math.abs(slope - 1.00123076)).toBeLessThan(0.005 * uSlope);
  expect(Math.abs(uSlope / 0.00901163 - 1)).toBeLessThan(0.005);
  // a = α·(2b - 1)
  expect(Math.abs(parts[0].alphaCm * (theta - 1) - 0.3424)).toBeLessThan(0.005 * 2.0569);
});
