import type { Pass } from '../pass.ts';
import { evaluate, slopeAt } from './curve.ts';
import { isLine } from './line-shape.ts';
import { steadySigma } from './noise.ts';
import type { Fit } from './polynomial-fit.ts';
import type { Window } from './window.ts';
import { indicesInUse, picked } from './window.ts';

/** Why a fit is no null. Only a real slope with clear current of both signs around a root among the samples is. */

export type Refusal =
  | 'too-few-samples'
  | 'no-sign-change'
  | 'saturated-near-null'
  | 'no-slope'
  | 'not-a-line'
  | 'grows-less'
  | 'root-outside';

/**
 * Samples on either side of the root: fewer could all be outliers that were not seen to be (common practice, no
 * source).
 */
const LEAST_A_SIDE = 4;
/**
 * Standard errors that a slope must be. (1.96/8)² = 0.06 is Fieller's g then, and in relative order of g the delta method's
 * interval differs from the exact one; see docs/method.md.
 */
const SLOPE_SIGMAS = 8;
/** Standard errors from zero of a current whose sign is clear: chance alone gives it once in 30,000. */
export const CLEAR_SIGMAS = 4;
/** What no position sensor of this kind scatters (common practice, no source). */
const SURELY_MOVED_CM = 2;
/**
 * Standard deviations of the sensor's scatter between first and last place of a jockey that moved: 2,000 samples at
 * rest span 7.
 */
const MOVED_SIGMAS = 10;
/** With more outliers than these leave, what is left was picked and not measured (common practice, no source). */
const LEAST_SHARE_USED = 0.7;
/**
 * Share of the way from the middle to an end within which samples must be on either side of the root (common practice,
 * no source).
 */
const WIDEST_GAP_SHARE = 0.5;

export interface Known {
  /** See `LiftedLevel.noiseMemory`. */
  noiseMemory: number;
  /** One step of the position converter, in cm. */
  stepCm: number;
}

/**
 * Judges a fit by what no null can be without; see docs/method.md, "What is not a null", for the rules, which are common
 * practice where a number has no other reason beside it.
 * @param rootCm the curve's root in cm of the metre scale; NaN where it has none
 * @returns null for a null that stands
 */
export function refuse(pass: Pass, window: Window, fit: Fit, rootCm: number, known: Known): Refusal | null {
  const used = indicesInUse(window);
  if (!hasSlope(window, fit)) return 'no-slope';
  if (hardlyMoved(pass, window, known.stepCm)) return 'saturated-near-null';
  const below = used.filter((index) => window.x[index] < rootCm).length;
  if (below === 0 || below === used.length)
    return pass.signsDiffer ? 'saturated-near-null' : 'no-sign-change';
  if (Math.min(below, used.length - below) < LEAST_A_SIDE) return 'saturated-near-null';
  if (used.length < LEAST_SHARE_USED * window.t.length || !isLine(window, fit, known.noiseMemory))
    return 'not-a-line';
  if (!clearlyOpposite(window, fit, rootCm, used, known.noiseMemory)) return 'no-sign-change';
  return widestGap(window, used, rootCm) > WIDEST_GAP_SHARE * window.halfCm ? 'root-outside' : null;
}

function hasSlope(window: Window, fit: Fit): boolean {
  const slope = slopeAt(fit.curve, window.centreCm);
  const sigma = (fit.sigma * Math.sqrt(fit.inverse[fit.size + 1])) / window.halfCm;
  return Math.abs(slope) > SLOPE_SIGMAS * sigma;
}

/**
 * All samples that could be fitted lie within what the position sensor scatters anyway: the current changed by itself,
 * or too fast for this bench.
 */
function hardlyMoved(pass: Pass, window: Window, stepCm: number): boolean {
  const range = 2 * window.halfCm;
  if (range > SURELY_MOVED_CM) return false;
  const sigma = Math.hypot(steadySigma(picked(pass.x, pass.fitted)), stepCm / Math.sqrt(12));
  return range < MOVED_SIGMAS * sigma;
}

/** Current of both signs at the window's ends, each beyond doubt, and seen on both sides of the root. */
function clearlyOpposite(
  window: Window,
  fit: Fit,
  rootCm: number,
  used: ArrayLike<number>,
  memory: number,
): boolean {
  const low = evaluate(fit.curve, window.centreCm - window.halfCm);
  const high = evaluate(fit.curve, window.centreCm + window.halfCm);
  if (Math.sign(low) === Math.sign(high)) return false;
  if (!(Math.min(Math.abs(low), Math.abs(high)) > CLEAR_SIGMAS * fit.sigma * Math.sqrt(fit.inverse[0])))
    return false;
  const slope = Math.sign(high - low);
  const [below, above] = seenBeside(window, fit, rootCm, used);
  const clear = (sum: number, count: number) => sum > CLEAR_SIGMAS * fit.sigma * Math.sqrt(memory * count);
  return clear(-slope * below.sum, below.count) && clear(slope * above.sum, above.count);
}

/** Sums of the current seen on either side of the root. */
function seenBeside(window: Window, fit: Fit, rootCm: number, used: ArrayLike<number>) {
  const below = { sum: 0, count: 0 };
  const above = { sum: 0, count: 0 };
  for (let at = 0; at < used.length; at += 1) {
    const side = window.x[used[at]] < rootCm ? below : above;
    side.sum += currentAt(window, fit, used[at]);
    side.count += 1;
  }
  return [below, above];
}

/** Counts from zero with the hum taken out. */
const currentAt = (window: Window, fit: Fit, index: number): number =>
  evaluate(fit.curve, window.x[index]) + fit.residuals[index];

/** Distance in cm from the root to the nearest used sample, on the side where it is larger. */
function widestGap(window: Window, used: Int32Array, rootCm: number): number {
  let below = Number.POSITIVE_INFINITY;
  let above = Number.POSITIVE_INFINITY;
  for (const index of used) {
    const off = window.x[index] - rootCm;
    if (off < 0) below = Math.min(below, -off);
    else above = Math.min(above, off);
  }
  return Math.max(below, above);
}
