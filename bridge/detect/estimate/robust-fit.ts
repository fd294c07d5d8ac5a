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
 * The bending of the circuit alone, and that of the sensor's error beside it, averaged: which of them bent a pass a few samples can't
 * tell. More than both is believed only where it is earned.
 */
function withEarnedBending(window: Window, loose: Fit, shape: Shape, hum: Hum | null): RobustFit | null {
  const told = [toldOf(loose, shape.tight), toldOf(loose, shape.sensed)];
  const fits = told.map((each) => fitWindow(window, each, hum));
  const [tight, sensed] = fits;
  if (tight === null || sensed === null) return null;
  const earned = BENDING_EARNED * loose.sigma ** 2;
  if (Math.min(tight.squares, sensed.squares) - loose.squares > earned)
    return { ...loose, told: toldOf(loose, shape.loose) };
  const share = likelier(tight, sensed, correlationFactor(loose.residuals));
  return { ...averaged(sensed, tight, share), told: told[share < 0.5 ? 0 : 1] };
}

/** Probability of the second of two fits that were equally likely before the samples (their marginal likelihoods). */
function likelier(tight: Fit, sensed: Fit, factor: number): number {
  const chiSquare = (tight.squares - sensed.squares) / (sensed.sigma ** 2 * Math.max(1, factor));
  const odds = chiSquare / 2 + (tight.logDeterminants - sensed.logDeterminants) / 2;
  return 1 / (1 + Math.exp(-odds));
}

/** Coefficients weighted by probability; what the fits differ in adds to their covariance. */
function averaged(fit: Fit, other: Fit, share: number): Fit {
  const mean = (a: number, b: number) => share * a + (1 - share) * b;
  const [c, d] = [fit.curve.coefficients, other.curve.coefficients];
  const apart = share * (1 - share) * fit.sigma ** -2;
  const inverse = fit.inverse.map((value, index) => {
    const [i, j] = [Math.floor(index / fit.size), index % fit.size];
    const between = i < 4 && j < 4 ? apart * (c[i] - d[i]) * (c[j] - d[j]) : 0;
    return mean(value, other.inverse[index]) + between;
  });
  return {
    ...fit,
    curve: { ...fit.curve, coefficients: c.map((value, index) => mean(value, d[index])) },
    inverse,
    residuals: fit.residuals.map((value, index) => mean(value, other.residuals[index])),
  };
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
