import type { Pass } from '../pass.ts';
import { findHum } from './hum.ts';
import { LAG_GRID_MS, laggedPosition } from './lag-filter.ts';
import { NormalEquations } from './least-squares.ts';
import { correlationFactor, robustSigma } from './noise.ts';
import type { BendingPrior } from './shape.ts';
import { noiseKept, smoothed } from './smooth.ts';

/** Local robust fit of galvanometer counts against jockey position over one pass, and its root. */

export interface SweepFitSettings {
  /** Galvanometer zero in counts: the level whose crossing is the null. */
  zeroCounts: number;
  /** Lag of the current at which the fit is made, in seconds. */
  lagS: number;
  bending: BendingPrior;
}

export interface SweepFit {
  /** Position of the root in cm on the metre scale, at the lag of the fit. */
  rootCm: number;
  /** Position of the root in cm on the metre scale, at each lag of `LAG_GRID_MS`. */
  rootsCm: Float64Array;
  /** Sum of squared residuals over the noise's variance at each lag of the grid, less its least. */
  lagCost: Float64Array;
  /** Variance of the root in cm², from the noise seen. */
  varianceCm2: number;
  dof: number;
  /** Counts per cm at the root. */
  slope: number;
  /** Standard deviation of one sample about the fit, in counts, hum taken out. */
  noiseCounts: number;
  hum: { hz: number; amplitude: number } | null;
  /** Seconds at which the root was crossed. */
  tS: number;
  /** +1 where the scale reading grew during the pass, -1 where it fell. */
  direction: 1 | -1;
  /** Polynomial in (x - centre) / half, and the samples used, for a picture. */
  curve: Curve;
  used: { x: Float64Array; y: Float64Array };
}

export interface Curve {
  centreCm: number;
  halfCm: number;
  coefficients: Float64Array;
}

export type Refusal =
  | 'too-few-samples'
  | 'no-sign-change'
  | 'saturated-near-null'
  | 'no-slope'
  | 'not-a-line'
  | 'root-outside';

export const evaluate = (curve: Curve, x: number): number => {
  const u = (x - curve.centreCm) / curve.halfCm;
  const c = curve.coefficients;
  return c[0] + u * (c[1] + u * (c[2] + u * c[3]));
};

const slopeAt = (curve: Curve, x: number): number => {
  const u = (x - curve.centreCm) / curve.halfCm;
  const c = curve.coefficients;
  return (c[1] + u * (2 * c[2] + 3 * u * c[3])) / curve.halfCm;
};

/** Where a curve crosses zero, from a starting point; NaN where Newton's steps do not settle. */
export function rootOf(curve: Curve, startCm: number): number {
  let x = startCm;
  for (let round = 0; round < 20; round += 1) {
    const step = evaluate(curve, x) / slopeAt(curve, x);
    x -= step;
    if (!Number.isFinite(x)) return Number.NaN;
    if (Math.abs(step) < 1e-10) return x;
  }
  return Number.NaN;
}

/** Samples of a pass that can be fitted, as columns. */
interface Window {
  t: Float64Array;
  x: Float64Array;
  y: Float64Array;
  /** 1 for a sample in use, 0 for one left out as an outlier. */
  weight: Float64Array;
  centreCm: number;
  halfCm: number;
}

const LEAST_SAMPLES = 12;
const LEAST_A_SIDE = 4;
const OUTLIER_SIGMAS = 4;

export function fitSweep(pass: Pass, settings: SweepFitSettings): SweepFit | Refusal {
  const lagged = new Float64Array(pass.t.length);
  laggedPosition(pass.t, pass.x, settings.lagS, lagged);
  const window = windowOf(pass, lagged, settings.zeroCounts);
  if (window === null) return 'too-few-samples';
  const fit = robustFit(window, settings);
  if (fit === null) return 'no-slope';
  const root = rootOf(fit.curve, linearRoot(fit.curve));
  const refusal = refuse(pass, window, fit, root);
  if (refusal !== null) return refusal;
  return conclude(pass, window, fit, root, settings);
}

const linearRoot = (curve: Curve): number =>
  curve.centreCm - (curve.halfCm * curve.coefficients[0]) / curve.coefficients[1];

function windowOf(pass: Pass, x: Float64Array, zeroCounts: number): Window | null {
  const indices = pass.fitted;
  if (indices.length < LEAST_SAMPLES) return null;
  const pick = (from: Float64Array) => Float64Array.from(indices, (index) => from[index]);
  const places = pick(x);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const place of places) {
    if (place < low) low = place;
    if (place > high) high = place;
  }
  if (!(high > low)) return null;
  return {
    t: pick(pass.t),
    x: places,
    y: pick(pass.y).map((count) => count - zeroCounts),
    weight: new Float64Array(indices.length).fill(1),
    centreCm: (low + high) / 2,
    halfCm: (high - low) / 2,
  };
}

interface Fit {
  curve: Curve;
  inverse: Float64Array;
  size: number;
  sigma: number;
  /** Degrees of freedom left by the samples in use. */
  dof: number;
  residuals: Float64Array;
  hum: { hz: number; amplitude: number } | null;
}

/** Fits, leaves out what lies beyond four robust standard deviations, looks for hum, and fits again. */
function robustFit(window: Window, settings: SweepFitSettings): Fit | null {
  let fit = solve(window, null, null, null);
  for (let round = 0; round < 5 && fit !== null; round += 1) {
    const hum = round === 0 ? null : humIn(window, fit);
    fit = solve(window, fit, settings.bending, hum);
    if (fit === null) return null;
    const changed = leaveOutliersOut(window, fit);
    if (round >= 2 && !changed) break;
  }
  return fit;
}

/** Searches for hum in the residuals with the hum of the last fit put back, outliers clipped. */
function humIn(window: Window, fit: Fit): { hz: number; amplitude: number } | null {
  if (fit.hum !== null) return fit.hum;
  const used = indicesInUse(window);
  const t = Float64Array.from(used, (index) => window.t[index]);
  const r = Float64Array.from(used, (index) => fit.residuals[index]);
  return isAliased(t) ? null : findHum(t, r);
}

/** Sampled at 50, 60, 100 or 120 Hz (or slower, in step with the mains), hum cannot be told from the current. */
function isAliased(t: Float64Array): boolean {
  const periodS = (t[t.length - 1] - t[0]) / (t.length - 1);
  return [50, 60].some((hz) => {
    const beats = 2 * hz * periodS;
    return Math.abs(beats - Math.round(beats)) < 0.02;
  });
}

const indicesInUse = (window: Window): number[] => {
  const used: number[] = [];
  for (let index = 0; index < window.weight.length; index += 1)
    if (window.weight[index] > 0) used.push(index);
  return used;
};

function solve(
  window: Window,
  before: Fit | null,
  bending: BendingPrior | null,
  hum: { hz: number; amplitude: number } | null,
): Fit | null {
  const bent = before !== null && bending !== null;
  const size = (bent ? 4 : 2) + (hum === null ? 0 : 2);
  const equations = new NormalEquations(size);
  const row = new Float64Array(size);
  let n = 0;
  for (let index = 0; index < window.t.length; index += 1) {
    if (window.weight[index] === 0) continue;
    fillRow(row, window, index, bent, hum);
    equations.add(row, window.y[index], 1);
    n += 1;
  }
  if (bent) addBendingPrior(equations, before, bending);
  const solution = equations.solve();
  if (solution === null || n <= size) return null;
  const curve = curveOf(window, solution.coefficients, bent);
  const residuals = new Float64Array(window.t.length);
  for (let index = 0; index < residuals.length; index += 1) {
    fillRow(row, window, index, bent, hum);
    let fitted = 0;
    for (let column = 0; column < size; column += 1) fitted += row[column] * solution.coefficients[column];
    residuals[index] = window.y[index] - fitted;
  }
  const dof = n - (hum === null ? 2 : 4);
  let squares = 0;
  for (let index = 0; index < residuals.length; index += 1)
    squares += window.weight[index] * residuals[index] ** 2;
  return { curve, inverse: solution.inverse, size, sigma: Math.sqrt(squares / dof), dof, residuals, hum };
}

function addBendingPrior(equations: NormalEquations, before: Fit, bending: BendingPrior): void {
  const slope = before.curve.coefficients[1];
  const half = before.curve.halfCm;
  const noise = before.sigma ** 2;
  equations.addPrior(2, 0, noise / (slope * half * bending.perCm) ** 2);
  equations.addPrior(3, 0, noise / (slope * half ** 2 * bending.perCm2) ** 2);
}

function fillRow(
  row: Float64Array,
  window: Window,
  index: number,
  bent: boolean,
  hum: { hz: number } | null,
): void {
  const u = (window.x[index] - window.centreCm) / window.halfCm;
  row[0] = 1;
  row[1] = u;
  if (bent) {
    row[2] = u * u;
    row[3] = u * u * u;
  }
  if (hum !== null) {
    const phase = 2 * Math.PI * hum.hz * (window.t[index] - window.t[0]);
    row[row.length - 2] = Math.cos(phase);
    row[row.length - 1] = Math.sin(phase);
  }
}

const curveOf = (window: Window, coefficients: Float64Array, bent: boolean): Curve => ({
  centreCm: window.centreCm,
  halfCm: window.halfCm,
  coefficients: Float64Array.of(
    coefficients[0],
    coefficients[1],
    bent ? coefficients[2] : 0,
    bent ? coefficients[3] : 0,
  ),
});

/** Marks what lies beyond four robust standard deviations; says whether any mark changed. */
function leaveOutliersOut(window: Window, fit: Fit): boolean {
  const limit = OUTLIER_SIGMAS * Math.max(robustSigma(fit.residuals), 0.3);
  let changed = false;
  for (let index = 0; index < fit.residuals.length; index += 1) {
    const weight = Math.abs(fit.residuals[index]) > limit ? 0 : 1;
    if (weight !== window.weight[index]) changed = true;
    window.weight[index] = weight;
  }
  return changed;
}

/** Why the fit is no null: only a real slope with clear current of both signs around a root among the samples is. */
function refuse(pass: Pass, window: Window, fit: Fit, root: number): Refusal | null {
  const used = indicesInUse(window);
  const slope = slopeAt(fit.curve, window.centreCm);
  const slopeSigma = (fit.sigma * Math.sqrt(fit.inverse[fit.size + 1])) / window.halfCm;
  if (!(Math.abs(slope) > 8 * slopeSigma)) return 'no-slope';
  const below = used.filter((index) => window.x[index] < root);
  if (below.length === 0 || below.length === used.length)
    return pass.signsDiffer ? 'saturated-near-null' : 'no-sign-change';
  if (Math.min(below.length, used.length - below.length) < LEAST_A_SIDE) return 'saturated-near-null';
  if (used.length < 0.7 * window.t.length || !isLine(window, fit)) return 'not-a-line';
  const low = evaluate(fit.curve, window.centreCm - window.halfCm);
  const high = evaluate(fit.curve, window.centreCm + window.halfCm);
  const clear = Math.min(Math.abs(low), Math.abs(high)) > 4 * fit.sigma * Math.sqrt(fit.inverse[0]);
  if (!clear || Math.sign(low) === Math.sign(high)) return 'no-sign-change';
  return nearestGap(window, used, root) > 0.5 * window.halfCm ? 'root-outside' : null;
}

/**
 * Blocks of neighbouring places must scatter about the curve no more than their noise allows, up to a small
 * share of the span: jumps, a current that dies away, or two lines in one pass do not.
 */
function isLine(window: Window, fit: Fit): boolean {
  const blocks = 10;
  const sums = new Float64Array(blocks);
  const counts = new Float64Array(blocks);
  for (let index = 0; index < fit.residuals.length; index += 1) {
    const share = (window.x[index] - window.centreCm + window.halfCm) / (2 * window.halfCm);
    const block = Math.min(blocks - 1, Math.max(0, Math.floor(share * blocks)));
    sums[block] += fit.residuals[index];
    counts[block] += 1;
  }
  const span = 2 * Math.abs(fit.curve.coefficients[1]);
  return sums.every((sum, block) => {
    if (counts[block] === 0) return true;
    return Math.abs(sum / counts[block]) < 0.03 * span + (5 * fit.sigma * 2) / Math.sqrt(counts[block]);
  });
}

/** Distance in cm from the root to the nearer used sample, on the side where it is larger. */
function nearestGap(window: Window, used: number[], root: number): number {
  let below = Number.POSITIVE_INFINITY;
  let above = Number.POSITIVE_INFINITY;
  for (const index of used) {
    const off = window.x[index] - root;
    if (off < 0) below = Math.min(below, -off);
    else above = Math.min(above, off);
  }
  return Math.max(below, above);
}

function conclude(pass: Pass, window: Window, fit: Fit, root: number, settings: SweepFitSettings): SweepFit {
  const slope = slopeAt(fit.curve, root);
  const used = indicesInUse(window);
  const residuals = Float64Array.from(used, (index) => fit.residuals[index]);
  const factor = correlationFactor(residuals);
  const noise = fit.sigma ** 2 * factor;
  const lag = overLags(pass, window, fit, root, settings);
  return {
    rootCm: root,
    rootsCm: lag.roots,
    lagCost: lag.cost,
    varianceCm2: (noise * rootVariance(fit, root)) / slope ** 2,
    dof: Math.max(1, fit.dof / Math.max(1, factor)),
    slope,
    noiseCounts: fit.sigma,
    hum: fit.hum,
    tS: crossingTime(window, used, root),
    direction: pass.x[pass.x.length - 1] >= pass.x[0] ? 1 : -1,
    curve: fit.curve,
    used: {
      x: Float64Array.from(used, (index) => window.x[index]),
      y: Float64Array.from(used, (index) => window.y[index]),
    },
  };
}

/** g' C g with g the polynomial's row at the root: the variance of the fitted value there, over the noise's. */
function rootVariance(fit: Fit, root: number): number {
  const u = (root - fit.curve.centreCm) / fit.curve.halfCm;
  const row = [1, u, u * u, u * u * u];
  let sum = 0;
  for (let i = 0; i < 4; i += 1) {
    for (let j = 0; j < 4; j += 1) sum += row[i] * row[j] * fit.inverse[i * fit.size + j];
  }
  return sum;
}

/**
 * The root and the misfit at each trial lag, with the samples, hum and bending of the fit. Places are smoothed
 * first, and what of the sensor's noise is left at each lag is taken off the misfit: a longer lag smooths places
 * too, and would otherwise seem to fit better whenever the sensor is noisy.
 */
function overLags(pass: Pass, window: Window, fit: Fit, root: number, settings: SweepFitSettings) {
  const smooth = smoothed(pass.t, pass.x);
  const lagged = new Float64Array(pass.t.length);
  const indices = pass.fitted;
  const trial: Window = { ...window, y: withoutHum(window, fit), x: new Float64Array(window.x.length) };
  const at = (lagS: number) => {
    laggedPosition(pass.t, smooth.x, lagS, lagged);
    for (let index = 0; index < indices.length; index += 1) trial.x[index] = lagged[indices[index]];
    const there = polynomialOnly(trial, fit, settings.bending);
    const rootThere = there === null ? Number.NaN : rootOf(there.curve, linearRoot(there.curve));
    // Where a lag leaves no fit, it is told apart by its cost; the place must stay a number.
    return there !== null && Number.isFinite(rootThere)
      ? { root: rootThere, squares: there.squares, curve: there.curve }
      : { root, squares: Number.POSITIVE_INFINITY, curve: null };
  };
  const slope = slopeAt(fit.curve, root);
  const n = indicesInUse(window).length;
  const trials = LAG_GRID_MS.map((lagMs) => {
    const one = at(lagMs / 1000);
    const sensor = n * slope ** 2 * smooth.noiseVariance * noiseKept(smooth, lagMs / 1000);
    return { ...one, squares: one.squares - sensor };
  });
  const best = trials.reduce((least, next) => (next.squares < least.squares ? next : least));
  const noise = smoothNoise(trial, at(LAG_GRID_MS[trials.indexOf(best)] / 1000).curve);
  // Smoothing moves the root by a share of the noise; the fit's own root stays what it was at its own lag.
  const shift = root - at(settings.lagS).root;
  return {
    roots: Float64Array.from(trials, (one) => one.root + shift),
    cost: Float64Array.from(trials, (one) => (one.squares - best.squares) / noise),
  };
}

/** Variance that one independent sample about the smoothed fit would have. */
function smoothNoise(trial: Window, curve: Curve | null): number {
  if (curve === null) return 1;
  const seen = Float64Array.from(
    indicesInUse(trial),
    (index) => trial.y[index] - evaluate(curve, trial.x[index]),
  );
  const squares = seen.reduce((sum, value) => sum + value * value, 0);
  return (squares / Math.max(1, seen.length - 4)) * Math.max(1, correlationFactor(seen));
}

function withoutHum(window: Window, fit: Fit): Float64Array {
  if (fit.hum === null) return window.y;
  // What the fit says less its polynomial is its hum.
  return window.y.map((_, index) => evaluate(fit.curve, window.x[index]) + fit.residuals[index]);
}

function polynomialOnly(window: Window, before: Fit, bending: BendingPrior) {
  const equations = new NormalEquations(4);
  const row = new Float64Array(4);
  for (let index = 0; index < window.x.length; index += 1) {
    if (window.weight[index] === 0) continue;
    fillRow(row, window, index, true, null);
    equations.add(row, window.y[index], 1);
  }
  addBendingPrior(equations, before, bending);
  const solution = equations.solve();
  if (solution === null) return null;
  return { curve: curveOf(window, solution.coefficients, true), squares: solution.residualSquares };
}

/** When the jockey was nearest to the root. */
function crossingTime(window: Window, used: number[], root: number): number {
  let nearest = used[0];
  for (const index of used) {
    if (Math.abs(window.x[index] - root) < Math.abs(window.x[nearest] - root)) nearest = index;
  }
  return window.t[nearest];
}
