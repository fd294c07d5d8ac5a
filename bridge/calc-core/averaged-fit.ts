import type { AveragedProblem, FittedPart, SizeScenario, Whitened } from './averaged-problem.ts';
import { cholesky, dot, type Matrix, solveLower } from './cholesky.ts';
import { moments } from './mixture.ts';
import { type LinearSets, linearise, type Origin, thetaOf } from './ratio-sets.ts';
import { SlipSearch } from './slip-search.ts';

/**
 * Bayesian model averaging (Hoeting et al., Statistical Science 14, 382 (1999), from memory) over what a few sets cannot tell
 * apart: the sizes of some effects, the end correction, and slips. Each combination is a linear Gaussian fit of one quantity θ;
 * its weight is its prior probability times its evidence (θ has a flat prior). The answer is a mixture of normal distributions.
 */
export interface AveragedFit {
  /** Posterior mean of θ, its variance within the combinations and between them. */
  theta: number;
  within: number;
  between: number;
  /** Heaviest first; weights add up to 1. */
  parts: FittedPart[];
  origin: Origin;
  linear: LinearSets;
  /** Covariance of the residuals in a scenario, without slips and end correction. */
  covarianceOf(scenario: SizeScenario): Matrix;
  problem: AveragedProblem;
}

const MOST_PASSES = 4;
/** Keeps a covariance that common effects make singular invertible; no length is known to that share. */
const RIDGE = 1e-10;

/** Null where nothing weighs the sets: no uncertainty at all, or a senseless one. */
export function averagedFit(problem: AveragedProblem): AveragedFit | null {
  const withoutSlips = fitAround({ ...problem, slips: [] }, startOf(problem));
  if (withoutSlips === null) return null;
  let origin = originOf(withoutSlips);
  for (let pass = 1; ; pass += 1) {
    const fit = fitAround(problem, origin);
    if (fit === null) return null;
    // What is neglected is the shift of θ times that of α over a length: a hundredth of what is allowed here.
    const near = Math.abs(fit.theta - origin.theta) <= Math.sqrt(fit.within + fit.between);
    if (near || pass === MOST_PASSES) return fit;
    origin = originOf(fit);
  }
}

const originOf = ({ theta, parts }: AveragedFit): Origin => ({ theta, alphaCm: alphaOf(parts) });

const alphaOf = (parts: readonly FittedPart[]): number =>
  moments(parts.map(({ weight, alphaCm }) => ({ weight, mean: alphaCm, variance: 0 }))).mean;

/** The middle one of the sets' own ratios: a wrong set moves it least. */
function startOf({ sets, endCorrection }: AveragedProblem): Origin {
  const alphaCm = moments(endCorrection).mean;
  const sorted = sets.map((set) => thetaOf(set, alphaCm)).sort((a, b) => a - b);
  return { theta: sorted[Math.floor((sorted.length - 1) / 2)], alphaCm };
}

function fitAround(problem: AveragedProblem, origin: Origin): AveragedFit | null {
  const linear = linearise(problem.sets, origin);
  const covarianceOf = covariances(problem, linear);
  const slips = problem.slips.map(({ column }) => linear.project(column));
  const whitened = problem.scenarios.flatMap((scenario) =>
    whiten(slips, scenario, linear, covarianceOf(scenario)),
  );
  const parts = new SlipSearch(problem, origin, whitened).search();
  if (parts.length === 0) return null;
  const { mean: theta, within, between } = moments(parts);
  if (![theta, within, between].every(Number.isFinite)) return null;
  return { theta, within, between, parts, origin, linear, covarianceOf, problem };
}

/** Covariance of the residuals in a scenario; the parts of it are worked out once. */
function covariances(
  { columns, scaled }: AveragedProblem,
  linear: LinearSets,
): (scenario: SizeScenario) => Matrix {
  const size = linear.residuals.length;
  const fixed = outerSum(
    columns.map((column) => linear.project(column)),
    size,
  );
  const moving = scaled.map(({ covariance }) => linear.projectCovariance(covariance));
  return ({ factors }) => {
    const whole = fixed.map((row) => [...row]);
    moving.forEach((matrix, which) => {
      addScaled(whole, matrix, factors[which] ** 2);
    });
    const ridge = RIDGE * Math.max(...whole.map((row, index) => row[index]));
    for (let i = 0; i < size; i += 1) whole[i][i] += ridge;
    return whole;
  };
}

function addScaled(to: Matrix, matrix: Matrix, factor: number): void {
  for (let i = 0; i < to.length; i += 1) {
    for (let j = 0; j < to.length; j += 1) to[i][j] += factor * matrix[i][j];
  }
}

function outerSum(columns: readonly (readonly number[])[], size: number): Matrix {
  const matrix = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  for (const column of columns) {
    for (let i = 0; i < size; i += 1) {
      if (column[i] !== 0) for (let j = 0; j < size; j += 1) matrix[i][j] += column[i] * column[j];
    }
  }
  return matrix;
}

/** @param slips what each does to the residuals */
function whiten(
  slips: readonly (readonly number[])[],
  scenario: SizeScenario,
  linear: LinearSets,
  covariance: Matrix,
): Whitened[] {
  const lower = cholesky(covariance);
  if (lower === null) return [];
  const logRoot = lower.reduce((sum, row, index) => sum + Math.log(row[index]), 0);
  const [y, b, a] = [linear.residuals, linear.byTheta, linear.byAlpha].map((vector) =>
    solveLower(lower, vector),
  );
  const whitened = slips.map((column) => solveLower(lower, column));
  return [
    {
      scenario,
      products: { yy: dot(y, y), yb: dot(y, b), ya: dot(y, a), bb: dot(b, b), ba: dot(b, a), aa: dot(a, a) },
      slipProducts: whitened.map((slip) => ({
        own: dot(slip, slip),
        y: dot(slip, y),
        b: dot(slip, b),
        a: dot(slip, a),
      })),
      crossProduct: (one, other) => dot(whitened[one], whitened[other]),
      logWeight: Math.log(scenario.probability) - logRoot,
    },
  ];
}
