import type { Curve } from './curve.ts';
import { evaluate } from './curve.ts';
import type { Hum } from './hum.ts';
import { NormalEquations } from './least-squares.ts';
import type { Bending } from './shape.ts';
import type { Window } from './window.ts';

/** One least-squares fit of a window: constant, slope, bending held by a prior, and hum where there is some. */

export interface Fit {
  curve: Curve;
  /** Inverse of the normal matrix, `size` wide, the polynomial's coefficients first. */
  inverse: Float64Array;
  size: number;
  /** Standard deviation of a sample in use about the fit, in counts. */
  sigma: number;
  dof: number;
  /** Of all samples of the window, left out or not. */
  residuals: Float64Array;
  /** Sum of squared residuals, what the prior of the bending adds included. */
  squares: number;
  /** Logarithm of the normal matrix's determinant over that of the bending's prior. */
  logDeterminants: number;
  hum: Hum | null;
}

/** What an earlier fit told of slope and noise: the scale of the bending's prior. */
export interface Told {
  before: { slopePerHalf: number; sigma: number };
  bending: Bending;
}

/** Straight line only, where nothing is told of the bending. Null where the samples do not determine the fit. */
export function fitWindow(window: Window, told: Told | null, hum: Hum | null): Fit | null {
  const size = (told === null ? 2 : 4) + (hum === null ? 0 : 2);
  const equations = new NormalEquations(size);
  const row = new Float64Array(size);
  let n = 0;
  for (let index = 0; index < window.t.length; index += 1) {
    if (window.weight[index] === 0) continue;
    fillRow(row, window, index, told !== null, hum);
    equations.add(row, window.y[index], 1);
    n += 1;
  }
  if (told !== null) addBendingPrior(equations, window.halfCm, told);
  const solution = equations.solve();
  if (solution === null || n <= size) return null;
  const { coefficients, inverse, residualSquares } = solution;
  const residuals = residualsOf(window, coefficients, told !== null, hum);
  const dof = n - (hum === null ? 2 : 4);
  let squares = 0;
  for (let index = 0; index < residuals.length; index += 1)
    squares += window.weight[index] * residuals[index] ** 2;
  return {
    curve: curveOf(window, coefficients, told !== null),
    inverse,
    size,
    sigma: Math.sqrt(squares / dof),
    dof,
    residuals,
    squares: residualSquares,
    logDeterminants: solution.logDeterminant - (told === null ? 0 : logPriorWeights(window.halfCm, told)),
    hum,
  };
}

/**
 * The polynomial alone, samples as they stand in the window; for trials, so nothing but curve and misfit. Sums of
 * powers stand for the matrix: this runs some thirty times a pass.
 */
export function fitPolynomial(window: Window, told: Told): { curve: Curve; squares: number } | null {
  const { x, y, weight, centreCm, halfCm } = window;
  let [s0, s1, s2, s3, s4, s5, s6] = [0, 0, 0, 0, 0, 0, 0];
  let [y0, y1, y2, y3, yy] = [0, 0, 0, 0, 0];
  const scale = 1 / halfCm;
  for (let index = 0; index < x.length; index += 1) {
    if (weight[index] === 0) continue;
    const u = (x[index] - centreCm) * scale;
    const u2 = u * u;
    const u3 = u2 * u;
    const level = y[index];
    s0 += 1;
    s1 += u;
    s2 += u2;
    s3 += u3;
    s4 += u2 * u2;
    s5 += u2 * u3;
    s6 += u3 * u3;
    y0 += level;
    y1 += level * u;
    y2 += level * u2;
    y3 += level * u3;
    yy += level * level;
  }
  const lower = [s0, s1, s2, s2, s3, s4, s3, s4, s5, s6];
  const equations = NormalEquations.fromSums(lower, [y0, y1, y2, y3], yy);
  addBendingPrior(equations, halfCm, told);
  const solution = equations.solve();
  if (solution === null) return null;
  return { curve: curveOf(window, solution.coefficients, true), squares: solution.residualSquares };
}

/** Samples with their hum taken out: what the fit says of them less its polynomial is hum. */
export const withoutHum = (window: Window, fit: Fit): Float64Array =>
  fit.hum === null
    ? window.y
    : window.y.map((_, index) => evaluate(fit.curve, window.x[index]) + fit.residuals[index]);

/** A prior that leaves no bending at all; more would drown the other digits of the matrix. */
const MOST_WEIGHT = 1e12;

function priorWeights(halfCm: number, { before, bending }: Told): [number, number] {
  const { slopePerHalf, sigma } = before;
  const weight = (share: number) => Math.min(MOST_WEIGHT, sigma ** 2 / (slopePerHalf * share) ** 2);
  return [weight(halfCm * bending.perCm), weight(halfCm ** 2 * bending.perCm2)];
}

function addBendingPrior(equations: NormalEquations, halfCm: number, told: Told): void {
  const [second, third] = priorWeights(halfCm, told);
  equations.addPrior(2, 0, second);
  equations.addPrior(3, 0, third);
}

const logPriorWeights = (halfCm: number, told: Told): number =>
  priorWeights(halfCm, told).reduce((sum, weight) => sum + Math.log(weight), 0);

function fillRow(row: Float64Array, window: Window, index: number, bent: boolean, hum: Hum | null): void {
  const u = (window.x[index] - window.centreCm) / window.halfCm;
  row[0] = 1;
  row[1] = u;
  if (bent) {
    row[2] = u * u;
    row[3] = u * u * u;
  }
  if (hum === null) return;
  const phase = 2 * Math.PI * hum.hz * (window.t[index] - window.t[0]);
  row[row.length - 2] = Math.cos(phase);
  row[row.length - 1] = Math.sin(phase);
}

function residualsOf(
  window: Window,
  coefficients: Float64Array,
  bent: boolean,
  hum: Hum | null,
): Float64Array {
  const row = new Float64Array(coefficients.length);
  const residuals = new Float64Array(window.t.length);
  for (let index = 0; index < residuals.length; index += 1) {
    fillRow(row, window, index, bent, hum);
    let fitted = 0;
    for (let column = 0; column < row.length; column += 1) fitted += row[column] * coefficients[column];
    residuals[index] = window.y[index] - fitted;
  }
  return residuals;
}

const curveOf = (window: Window, c: Float64Array, bent: boolean): Curve => ({
  centreCm: window.centreCm,
  halfCm: window.halfCm,
  coefficients: Float64Array.of(c[0], c[1], bent ? c[2] : 0, bent ? c[3] : 0),
});
