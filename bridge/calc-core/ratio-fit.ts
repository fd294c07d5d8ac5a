import { cholesky, dot, type Matrix, solveLower, solveUpper } from './cholesky.ts';

/**
 * Fit of one quantity θ and the end correction α over sets of two lengths, errors in both lengths, any covariance:
 * (upper + α) = ρ·(lower + α) with ρ = offset + θ·slope. E1/E2: offset 0, slope 1. Internal resistance r: offset 1, slope 1/R.
 * Least squares with errors in every variable after Deming: the residuals are linearised at the adjusted points
 * (York et al., Am. J. Phys. 72, 367 (2004); Britt and Luecke, Technometrics 15, 233 (1973), from memory).
 */
export interface FitSet {
  upper: number;
  lower: number;
  /** Which inputs they are; sets may share an input. */
  upperAt: number;
  lowerAt: number;
  offset: number;
  slope: number;
  /** Change of `slope` per unit of the input at `thirdAt` (the load); 0 where there is none. */
  slopeRate: number;
  thirdAt: number;
}

export interface FitProblem {
  sets: readonly FitSet[];
  /** Columns of independent errors, standard deviation 1 each, over all inputs. */
  columns: readonly (readonly number[])[];
  /** Prior knowledge of α; a standard uncertainty of Infinity stands for none. */
  prior: { valueCm: number; standardUncertaintyCm: number };
  /** Factor on all columns, 1 unless the sets scatter more than they say. */
  widening: number;
}

export interface RatioFit {
  theta: number;
  alpha: number;
  /** Standard uncertainty of α; that of the prior where the sets say nothing of it. */
  uAlpha: number;
  /** Weight of each set: θ solves Σ w·(upper + α₀ - ρ·(lower + α₀)) = 0 with the prior's α₀. Not normalised. */
  weights: number[];
  /** Sum of squared residuals of the sets in units of their standard deviation, correlations allowed for. */
  chiSquare: number;
  /** Cholesky factor of the covariance of the residuals (cm of upper length), widening included. */
  factor: Matrix;
  converged: boolean;
}

interface State {
  theta: number;
  alpha: number;
  /** Adjusted lower lengths. */
  lower: number[];
}

/** Keeps a covariance that common effects make singular invertible; no length is known to that share. */
const RIDGE = 1e-10;
const MOST_STEPS = 60;

/** Null where the covariance of the residuals is not one (no uncertainty at all, or a senseless one). */
export function fitRatio(problem: FitProblem): RatioFit | null {
  let state = start(problem);
  for (let step = 1; step <= MOST_STEPS; step += 1) {
    const solved = improve(problem, state);
    if (solved === null) return null;
    const moved = Math.abs(solved.state.theta - state.theta);
    state = solved.state;
    const done = moved <= 1e-13 * Math.abs(state.theta);
    if (done || step === MOST_STEPS) return { ...solved.fit, converged: done };
  }
  return null;
}

function start({ sets, prior }: FitProblem): State {
  const ratios = sets.map(
    (set) => ((set.upper + prior.valueCm) / (set.lower + prior.valueCm) - set.offset) / set.slope,
  );
  return {
    theta: ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length,
    alpha: prior.valueCm,
    lower: sets.map((set) => set.lower),
  };
}

/** One step of Gauss-Newton from `state`, and the fit as it would stand there. */
function improve(
  problem: FitProblem,
  state: State,
): { state: State; fit: Omit<RatioFit, 'converged'> } | null {
  const columns = problem.columns.map((column) => residualColumn(problem, state, column));
  const lower = cholesky(residualCovariance(columns, problem));
  if (lower === null) return null;
  const whiten = (values: number[]) => solveLower(lower, values);
  const { sets } = problem;
  const adjusted = state.lower.map((value) => value + state.alpha);
  const byTheta = whiten(sets.map((set, index) => -set.slope * adjusted[index]));
  const byAlpha = whiten(sets.map((set) => 1 - rho(set, state.theta)));
  const residuals = whiten(residualsAt(problem, state.theta, state.alpha));
  const step = solveStep(byTheta, byAlpha, residuals, problem.prior, state.alpha);
  const theta = state.theta + step.theta;
  const alpha = state.alpha + step.alpha;
  const after = whiten(residualsAt(problem, theta, alpha));
  const pulls = solveUpper(lower, after);
  return {
    state: { theta, alpha, lower: adjustedLower(problem, columns, pulls) },
    fit: {
      theta,
      alpha,
      uAlpha: step.uAlpha,
      weights: solveUpper(lower, step.direction).map((weight) => -weight),
      chiSquare: dot(after, after),
      factor: lower,
    },
  };
}

export const rho = (set: FitSet, theta: number): number => set.offset + theta * set.slope;

const residualsAt = ({ sets }: FitProblem, theta: number, alpha: number): number[] =>
  sets.map((set) => set.upper + alpha - rho(set, theta) * (set.lower + alpha));

/** What one standard deviation of a column does to each residual. */
const residualColumn = ({ sets }: FitProblem, state: State, column: readonly number[]): number[] =>
  sets.map((set, index) => {
    const third = set.slopeRate === 0 ? 0 : column[set.thirdAt] * set.slopeRate;
    return (
      column[set.upperAt] -
      rho(set, state.theta) * column[set.lowerAt] -
      state.theta * third * (state.lower[index] + state.alpha)
    );
  });

function residualCovariance(columns: readonly number[][], { sets, widening }: FitProblem): Matrix {
  const matrix = sets.map(() => new Array<number>(sets.length).fill(0));
  for (const column of columns) {
    for (let i = 0; i < sets.length; i += 1) {
      if (column[i] !== 0) for (let j = 0; j < sets.length; j += 1) matrix[i][j] += column[i] * column[j];
    }
  }
  const largest = Math.max(...matrix.map((row, index) => row[index]));
  for (let i = 0; i < sets.length; i += 1) matrix[i][i] += RIDGE * largest;
  return matrix.map((row) => row.map((value) => value * widening ** 2));
}

/** Best adjusted lengths: each error takes the share of the residuals that its columns explain. */
const adjustedLower = (problem: FitProblem, columns: readonly number[][], pulls: number[]): number[] => {
  const sizes = columns.map((column) => dot(column, pulls) * problem.widening ** 2);
  return problem.sets.map((set) =>
    problem.columns.reduce((sum, column, which) => sum - column[set.lowerAt] * sizes[which], set.lower),
  );
};

/**
 * The two unknowns by orthogonal directions (a QR of two columns): the prior of α is one more observation, and
 * θ's direction is freed of α's before it is used, so nearly equal sets do not lose digits.
 */
function solveStep(
  byTheta: number[],
  byAlpha: number[],
  residuals: number[],
  prior: FitProblem['prior'],
  alpha: number,
): { theta: number; alpha: number; uAlpha: number; direction: number[] } {
  const root = 1 / prior.standardUncertaintyCm;
  const known = !Number.isFinite(root);
  const information = known ? 0 : dot(byAlpha, byAlpha) + root * root;
  if (information === 0) {
    const theta = -dot(byTheta, residuals) / dot(byTheta, byTheta);
    return { theta, alpha: 0, uAlpha: prior.standardUncertaintyCm, direction: byTheta };
  }
  const shared = dot(byAlpha, byTheta) / information;
  const direction = byTheta.map((value, index) => value - shared * byAlpha[index]);
  const priorResidual = (alpha - prior.valueCm) * root;
  const size = dot(direction, direction) + (shared * root) ** 2;
  const theta = -(dot(direction, residuals) - shared * root * priorResidual) / size;
  const pull = dot(byAlpha, residuals) + root * priorResidual;
  // variance of α: that for a known θ plus what θ's own uncertainty adds
  const uAlpha = Math.sqrt(1 / information + (shared * shared) / size);
  return { theta, alpha: -pull / information - shared * theta, uAlpha, direction };
}
