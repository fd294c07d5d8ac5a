import { evaluate } from './curve.ts';
import type { Hum } from './hum.ts';
import { findHum } from './hum.ts';
import { correlationFactor, LEAST_SIGMA_COUNTS, robustSigma } from './noise.ts';
import type { Fit, Told } from './polynomial-fit.ts';
import { fitWindow } from './polynomial-fit.ts';
import type { Bending, Shape } from './shape.ts';
import { BENDING_EARNED } from './shape.ts';
import type { Window } from './window.ts';
import { indicesInUse, picked } from './window.ts';

/** Fits a window with outliers left out, hum found, and bending believed only where it is earned. */

export interface RobustFit extends Fit {
  /** What the fit was told of the bending in the end. */
  told: Told;
  /** The fit that the sensor's error has bent, too, and how likely it is; null where more bending is sure. */
  other: { fit: Fit; share: number } | null;
}

/** Of normal noise one sample in 16,000 lies further off. */
const OUTLIER_SIGMAS = 4;
const ROUNDS = 6;

/**
 * Least squares of counts from zero against cm of scale, made anew until no sample changes sides, six times at most: left
 * out is what lies beyond four robust standard deviations (1.4826 times the median of sizes). Hum is looked for once the
 * worst is out.
 * @param window its weights are changed: 0 for what is left out
 * @returns null where the samples do not determine a slope: all at one place, or too few
 */
export function robustFit(window: Window, shape: Shape): RobustFit | null {
  const straight = fitWindow(window, null, null);
  if (straight === null) return null;
  let fit: Fit = straight;
  let hum: Hum | null = null;
  for (let round = 0; round < ROUNDS; round += 1) {
    // While outliers still stand in it, bending is left free: it must not turn good samples into outliers.
    if (round === 1 || (round === 2 && hum !== null)) hum = humIn(window, fit, hum);
    const next = fitWindow(window, toldOf(fit, shape.loose), hum);
    if (next === null) return null;
    fit = next;
    const changed = leaveOutliersOut(window, fit);
    if (round >= 2 && !changed) break;
  }
  return withEarnedBending(window, fit, shape, hum);
}

const toldOf = (before: Fit, bending: Bending): Told => ({
  before: { slopePerHalf: before.curve.coefficients[1], sigma: Math.max(before.sigma, LEAST_SIGMA_COUNTS) },
  bending,
});

/**
 * The circuit's bending alone, until more is earned; beside it the fit with what the sensor's error may bend, and how likely that is:
 * which of them bent a pass a few samples can't tell.
 */
function withEarnedBending(window: Window, loose: Fit, shape: Shape, hum: Hum | null): RobustFit | null {
  const told = toldOf(loose, shape.tight);
  const tight = fitWindow(window, told, hum);
  const sensed = fitWindow(window, toldOf(loose, shape.sensed), hum);
  if (tight === null || sensed === null) return null;
  if (tight.squares - loose.squares > BENDING_EARNED * loose.sigma ** 2)
    return { ...loose, told: toldOf(loose, shape.loose), other: null };
  const share = likelier(tight, sensed, correlationFactor(loose.residuals));
  return { ...tight, told, other: { fit: sensed, share } };
}

/** Probability of the second of two fits that were equally likely before the samples (their marginal likelihoods). */
function likelier(tight: Fit, sensed: Fit, factor: number): number {
  const chiSquare = (tight.squares - sensed.squares) / (sensed.sigma ** 2 * Math.max(1, factor));
  const odds = chiSquare / 2 + (tight.logDeterminants - sensed.logDeterminants) / 2;
  return 1 / (1 + Math.exp(-odds));
}

function humIn(window: Window, fit: Fit, near: Hum | null): Hum | null {
  const used = indicesInUse(window);
  const t = picked(window.t, used);
  const aboutCurve = new Float64Array(used.length);
  for (let at = 0; at < used.length; at += 1) {
    aboutCurve[at] = window.y[used[at]] - evaluate(fit.curve, window.x[used[at]]);
  }
  return findHum(t, aboutCurve, near);
}

/** Marks what lies beyond four robust standard deviations; says whether any mark changed. */
function leaveOutliersOut(window: Window, fit: Fit): boolean {
  const limit = OUTLIER_SIGMAS * Math.max(robustSigma(fit.residuals), LEAST_SIGMA_COUNTS);
  let changed = false;
  for (let index = 0; index < fit.residuals.length; index += 1) {
    const weight = Math.abs(fit.residuals[index]) > limit ? 0 : 1;
    if (weight !== window.weight[index]) changed = true;
    window.weight[index] = weight;
  }
  return changed;
}
