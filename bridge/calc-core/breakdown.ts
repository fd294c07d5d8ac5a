import type { AveragedFit } from './averaged-fit.ts';
import type { FittedPart } from './averaged-problem.ts';
import { cholesky, dot, solveLower, solveUpper } from './cholesky.ts';

/** Where the variance of an averaged fit comes from, and what the sets say of each effect. */

/** A combination worked out in full: θ moves by Σ weights·residuals. */
export interface WorkedPart {
  part: FittedPart;
  /** Change of θ per cm of each residual. */
  weights: number[];
  /** K⁻¹ times the remaining residuals: an effect's posterior mean is its variance times its column times these. */
  pulls: number[];
}

/** Some combinations stand for all: those that hold this share of what is asked for, and no more than so many. */
const WHOLE = 0.95;
const MOST_PARTS = 60;

/** The heaviest combinations; their weights are scaled up to add to 1. */
export function workOutParts(fit: AveragedFit): WorkedPart[] {
  const heavy = mostOf(fit.parts, ({ weight }) => weight);
  const whole = heavy.reduce((sum, { weight }) => sum + weight, 0);
  return heavy.map((part) => workOut(fit, { ...part, weight: part.weight / whole }));
}

/** The heaviest combinations and those that hold most of the variance, with their own weights: a slip is seldom and moves θ far. */
export function workOutVariance(fit: AveragedFit): WorkedPart[] {
  const matter = new Set([
    ...mostOf(fit.parts, ({ weight }) => weight),
    ...mostOf(fit.parts, ({ weight, variance }) => weight * variance),
  ]);
  return [...matter].map((part) => workOut(fit, part));
}

function mostOf(parts: readonly FittedPart[], measure: (part: FittedPart) => number): FittedPart[] {
  const all = parts.reduce((sum, part) => sum + measure(part), 0);
  const most: FittedPart[] = [];
  let held = 0;
  for (const part of parts.toSorted((a, b) => measure(b) - measure(a))) {
    if (held >= WHOLE * all || most.length >= MOST_PARTS) break;
    most.push(part);
    held += measure(part);
  }
  return most;
}

export function workOut(
  { linear, covarianceOf, problem, origin }: AveragedFit,
  part: FittedPart,
): WorkedPart {
  const prior = problem.endCorrection[part.endPart];
  const columns = [
    ...part.slips.map(({ slip, size }) =>
      scaledBy(linear.project(problem.slips[slip].column), problem.slips[slip].sizes[size].u),
    ),
    scaledBy(linear.byAlpha, Math.sqrt(prior.variance)),
  ];
  const covariance = covarianceOf(part.scenario).map((row, i) =>
    row.map((value, j) => columns.reduce((sum, column) => sum + column[i] * column[j], value)),
  );
  const lower = cholesky(covariance);
  if (lower === null)
    return { part, weights: linear.residuals.map(() => 0), pulls: linear.residuals.map(() => 0) };
  const solve = (vector: readonly number[]) => solveUpper(lower, solveLower(lower, vector));
  const direction = solve(linear.byTheta);
  const scale = dot(direction, linear.byTheta);
  const step = part.mean - origin.theta;
  const left = linear.residuals.map(
    (value, index) =>
      value + (prior.mean - origin.alphaCm) * linear.byAlpha[index] + step * linear.byTheta[index],
  );
  return { part, weights: direction.map((value) => -value / scale), pulls: solve(left) };
}

const scaledBy = (column: readonly number[], factor: number): number[] =>
  column.map((value) => factor * value);

/** Variance of θ by some columns over the inputs, standard deviation 1 each, averaged over the combinations. */
export function varianceByColumns(
  parts: readonly WorkedPart[],
  { linear }: AveragedFit,
  columns: readonly (readonly number[])[],
): number {
  const projected = columns.map((column) => linear.project(column));
  return averageOf(parts, ({ weights }) =>
    projected.reduce((sum, column) => sum + dot(column, weights) ** 2, 0),
  );
}

/** Variance of θ by a scaled effect at the sizes that each combination gives it. */
export function varianceByScaled(
  parts: readonly WorkedPart[],
  { linear, problem }: AveragedFit,
  which: number,
): number {
  const { covariance } = problem.scaled[which];
  const matrix = linear.projectCovariance(covariance);
  const squareOf = (weights: readonly number[]) =>
    dot(
      weights,
      matrix.map((row) => dot(row, weights)),
    );
  return averageOf(parts, ({ part, weights }) => part.scenario.factors[which] ** 2 * squareOf(weights));
}

export const varianceByEnd = (parts: readonly WorkedPart[], { linear, problem }: AveragedFit): number =>
  averageOf(
    parts,
    ({ part, weights }) => problem.endCorrection[part.endPart].variance * dot(linear.byAlpha, weights) ** 2,
  );

export function varianceBySlips(parts: readonly WorkedPart[], { linear, problem }: AveragedFit): number {
  const projected = problem.slips.map(({ column }) => linear.project(column));
  return averageOf(parts, ({ part, weights }) =>
    part.slips.reduce(
      (sum, { slip, size }) => sum + (problem.slips[slip].sizes[size].u * dot(projected[slip], weights)) ** 2,
      0,
    ),
  );
}

/** Posterior mean of how much of a column there is, over the variance that the column's amount has at the size 1. */
export function amountOf(
  parts: readonly WorkedPart[],
  { linear }: AveragedFit,
  which: number,
  column: readonly number[],
): number {
  const projected = linear.project(column);
  return averageOf(parts, ({ part, pulls }) => part.scenario.factors[which] ** 2 * dot(projected, pulls));
}

const averageOf = (parts: readonly WorkedPart[], of: (worked: WorkedPart) => number): number =>
  parts.reduce((sum, worked) => sum + worked.part.weight * of(worked), 0);
