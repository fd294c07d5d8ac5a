import { describe, expect, test } from 'vitest';
import { type AveragedFit, averagedFit } from '../../bridge/calc-core/averaged-fit.ts';
import type { AveragedProblem, Slip } from '../../bridge/calc-core/averaged-problem.ts';
import { bothAxesLine } from '../../bridge/calc-core/line-fit.ts';
import { midpoints, solveLinear } from './numbers.ts';

/** The average over models where another way of working it is at hand. */

interface Lengths {
  upper: number;
  lower: number;
  uUpper: number;
  uLower: number;
}

const unit = (size: number, at: number, step: number) =>
  Array.from({ length: size }, (_, index) => (index === at ? step : 0));

function problemOf(sets: readonly Lengths[], end: { mean: number; variance: number }): AveragedProblem {
  const size = 2 * sets.length;
  return {
    sets: sets.map(({ upper, lower }, index) => ({
      upper,
      lower,
      upperAt: 2 * index,
      lowerAt: 2 * index + 1,
      offset: 0,
      slope: 1,
      slopeRate: 0,
      thirdAt: 0,
    })),
    columns: sets.flatMap(({ uUpper, uLower }, index) => [
      unit(size, 2 * index, uUpper),
      unit(size, 2 * index + 1, uLower),
    ]),
    scaled: [],
    scenarios: [{ factors: [], probability: 1 }],
    endCorrection: [{ weight: 1, ...end }],
    slips: [],
  };
}

function fitted(problem: AveragedProblem): AveragedFit {
  const fit = averagedFit(problem);
  if (fit === null) throw new Error('no fit');
  return fit;
}

const RATIO = 1.2;
/** Lengths of cell 1 are off by so many cm. */
const setsOff = (off: readonly number[], u = 0.05): Lengths[] =>
  off.map((cm, index) => {
    const lower = 400 + 60 * index;
    return { upper: RATIO * lower + cm, lower, uUpper: u, uLower: u };
  });

describe('one model', () => {
  const OFF = [0.03, -0.05, 0.08, 0.01];

  test('without slips: generalised least squares with the end correction’s prior as one more observation', () => {
    const problem = problemOf(setsOff(OFF), { mean: 0.4, variance: 0.25 });
    // what four lengths share, as a thermal EMF is shared
    const shared = Array.from({ length: 8 }, (_, index) => (index % 2 === 0 ? 0.1 : 0));
    const fit = fitted({ ...problem, columns: [...problem.columns, shared] });
    const { theta: at, alphaCm } = fit.origin;
    // residual = upper + α - θ·(lower + α), made linear at the same place; unknowns: the steps of θ and α
    const y = problem.sets.map(({ upper, lower }) => upper + alphaCm - at * (lower + alphaCm));
    const covariance = y.map((_, i) =>
      y.map((__, j) => 0.1 ** 2 + (i === j ? 0.05 ** 2 * (1 + at ** 2) : 0)),
    );
    const design = [problem.sets.map(({ lower }) => -(lower + alphaCm)), y.map(() => 1 - at)];
    const dot = (a: readonly number[], b: readonly number[]) =>
      a.reduce((sum, value, i) => sum + value * b[i], 0);
    const weighed = design.map((column) => solveLinear(covariance, column).x);
    const normal = weighed.map((column, i) =>
      design.map((other, j) => dot(column, other) + (i === 1 && j === 1 ? 1 / 0.25 : 0)),
    );
    const right = weighed.map((column, i) => -dot(column, y) + (i === 1 ? (0.4 - alphaCm) / 0.25 : 0));
    const [step, stepAlpha] = solveLinear(normal, right).x;
    expect(fit.theta).toBeCloseTo(at + step, 8);
    expect(fit.parts[0].alphaCm).toBeCloseTo(alphaCm + stepAlpha, 6);
    expect(fit.within / solveLinear(normal, [1, 0]).x[0]).toBeCloseTo(1, 6);
    expect(fit.parts[0].alphaVariance / solveLinear(normal, [0, 1]).x[1]).toBeCloseTo(1, 6);
    expect(fit.between).toBeCloseTo(0, 15);
    expect(fit.parts).toHaveLength(1);
  });

  test('with a free end correction: York’s line, slope θ and intercept (θ - 1)·α', () => {
    const sets = setsOff([1.03, 0.95, 1.08, 1.01, 0.99]).map((set, index) => ({
      ...set,
      uLower: 0.03 + 0.01 * index,
    }));
    const line = bothAxesLine(
      sets.map(({ upper, lower, uUpper, uLower }) => ({ x: lower, y: upper, ux: uLower, uy: uUpper })),
    );
    const fit = fitted(problemOf(sets, { mean: 0, variance: 1e8 }));
    const u = Math.sqrt(fit.within);
    expect(Math.abs(fit.theta - (line?.slope ?? 0))).toBeLessThan(0.01 * u);
    expect(u / (line?.uSlope ?? 1)).toBeCloseTo(1, 2);
    const intercept = (fit.theta - 1) * fit.parts[0].alphaCm;
    expect(Math.abs(intercept - (line?.intercept ?? 0))).toBeLessThan(0.01 * (line?.uIntercept ?? 0));
  });
});

describe('slips', () => {
  const NONE = { mean: 0, variance: 0 };
  const slipAt = (set: number, size: number, u: number, probability: number): Slip => ({
    column: unit(size, 2 * set, 1),
    sizes: [{ u, probability }],
  });

  test.each([0.05, 0.15, 0.25])('odds of one, with a length off by %d cm, by integrating over θ', (off) => {
    const problem = problemOf(setsOff([0, off, 0, 0]), NONE);
    const [u, probability] = [1, 0.01];
    const fit = fitted({ ...problem, slips: [slipAt(1, 8, u, probability)] });
    const at = fit.origin.theta;
    /** Density of the residuals, every θ being as probable as any other. */
    const evidence = (slipVariance: number): number => {
      const variances = problem.sets.map((_, i) => 0.05 ** 2 * (1 + at ** 2) + (i === 1 ? slipVariance : 0));
      return midpoints(RATIO - 0.01, RATIO + 0.01, (theta) =>
        problem.sets.reduce((product, { upper, lower }, i) => {
          const residual = upper - theta * lower;
          return (product * Math.exp(-(residual ** 2) / (2 * variances[i]))) / Math.sqrt(variances[i]);
        }, 1),
      );
    };
    const expected = (probability * evidence(u ** 2)) / evidence(0);
    const share = (slipped: boolean) =>
      fit.parts.reduce((sum, { slips, weight }) => sum + (slips.length > 0 === slipped ? weight : 0), 0);
    expect(share(true) / share(false) / expected).toBeCloseTo(1, 3);
  });

  test('two of seven lengths off: both are found, and θ rests on the others', () => {
    const problem = problemOf(setsOff([0.02, 3, -0.03, 0, -5, 0.04, -0.02]), NONE);
    const slips = problem.sets.map((_, set) => slipAt(set, 14, 4, 0.01));
    const fit = fitted({ ...problem, slips });
    expect(fit.parts[0].slips.map(({ slip }) => slip).sort()).toEqual([1, 4]);
    expect(fit.parts[0].weight).toBeGreaterThan(0.8);
    expect(Math.abs(fit.theta - RATIO)).toBeLessThan(2 * Math.sqrt(fit.within + fit.between));
    expect(fit.parts.reduce((sum, { weight }) => sum + weight, 0)).toBeCloseTo(1, 12);
  });
});

/** How often the sizes of slips are read: once or twice for each combination of scenario and slips that is weighed. */
function combinationsLookedAt(count: number): { slips: number; covariances: number } {
  const problem = problemOf(setsOff(Array.from({ length: count }, (_, i) => 0.05 * Math.sin(3 * i))), {
    mean: 0,
    variance: 1,
  });
  const reads = { slips: 0, covariances: 0 };
  const slips = problem.sets.map((_, set): Slip => {
    const sizes = [{ u: 4, probability: 0.01 }];
    return {
      column: unit(2 * count, 2 * set, 1),
      get sizes() {
        reads.slips += 1;
        return sizes;
      },
    };
  });
  const covariance = (a: number, b: number) => {
    reads.covariances += 1;
    return a === b ? 1e-6 : 0;
  };
  const scenarios = [0.5, 1, 2].map((factor) => ({ factors: [factor], probability: 1 / 3 }));
  fitted({ ...problem, slips, scaled: [{ covariance }], scenarios });
  return reads;
}

test('from 16 to 64 sets the combinations grow with the sets, the covariances with their square', () => {
  const [few, many] = [combinationsLookedAt(16), combinationsLookedAt(64)];
  expect(many.slips / few.slips).toBeLessThan(6);
  expect(many.covariances / few.covariances).toBeLessThan(20);
});
