import type { Pass } from '../pass.ts';
import type { Curve } from './curve.ts';
import { evaluate, rootOf, slopeAt } from './curve.ts';
import { LAG_GRID_MS, laggedPosition } from './lag-filter.ts';
import { correlationFactor } from './noise.ts';
import { fitPolynomial, withoutHum } from './polynomial-fit.ts';
import type { RobustFit } from './robust-fit.ts';
import type { Smoothed } from './smooth.ts';
import { noiseKept, smoothed } from './smooth.ts';
import type { Window } from './window.ts';
import { indicesInUse } from './window.ts';

/** Root and misfit of a pass at each trial lag. */
export interface LagTrials {
  /** cm on the scale, at each lag of `LAG_GRID_MS`. */
  rootsCm: Float64Array;
  /** Misfit over the noise's variance, less its least. */
  cost: Float64Array;
}

interface Trial {
  rootCm: number;
  squares: number;
  curve: Curve | null;
}

/**
 * Refits with the samples, hum and bending of the fit at each lag. Places are smoothed first, and what of the
 * sensor's noise is left at each lag is taken off the misfit: a longer lag smooths places too, and would otherwise
 * seem to fit better whenever the sensor is noisy.
 */
export function lagTrials(
  pass: Pass,
  window: Window,
  fit: RobustFit,
  rootCm: number,
  lagS: number,
): LagTrials {
  const smooth = smoothed(pass.t, pass.x);
  const atLag = trialRunner(pass, window, fit, rootCm, smooth);
  const sensorVariance = indicesInUse(window).length * slopeAt(fit.curve, rootCm) ** 2 * smooth.noiseVariance;
  const trials = LAG_GRID_MS.map((lagMs) => {
    const trial = atLag(lagMs / 1000);
    return { ...trial, squares: trial.squares - sensorVariance * noiseKept(smooth, lagMs / 1000) };
  });
  const least = trials.reduce((best, next) => (next.squares < best.squares ? next : best));
  const noise = noiseAbout(window, fit, atLag.window, atLag(LAG_GRID_MS[trials.indexOf(least)] / 1000).curve);
  // Smoothing moves the root by a share of the noise; the fit's own root stays what it was at its own lag.
  const shift = rootCm - atLag(lagS).rootCm;
  return {
    rootsCm: Float64Array.from(trials, (trial) => trial.rootCm + shift),
    cost: Float64Array.from(trials, (trial) => (trial.squares - least.squares) / noise),
  };
}

type TrialRunner = ((lagS: number) => Trial) & { window: Window };

function trialRunner(
  pass: Pass,
  window: Window,
  fit: RobustFit,
  rootCm: number,
  smooth: Smoothed,
): TrialRunner {
  const lagged = new Float64Array(pass.t.length);
  const trial: Window = { ...window, y: withoutHum(window, fit), x: new Float64Array(window.x.length) };
  const run = (lagS: number): Trial => {
    laggedPosition(pass.t, smooth.x, lagS, lagged);
    for (let index = 0; index < trial.x.length; index += 1) trial.x[index] = lagged[pass.fitted[index]];
    const there = fitPolynomial(trial, fit.told);
    const root = there === null ? Number.NaN : rootOf(there.curve);
    // Where a lag leaves no fit, it is told apart by its cost; the place must stay a number.
    if (there === null || !Number.isFinite(root))
      return { rootCm, squares: Number.POSITIVE_INFINITY, curve: null };
    return { rootCm: root, squares: there.squares, curve: there.curve };
  };
  return Object.assign(run, { window: trial });
}

/** Variance that one independent sample about the best trial would have. */
function noiseAbout(window: Window, fit: RobustFit, trial: Window, curve: Curve | null): number {
  const residuals =
    curve === null
      ? fit.residuals
      : Float64Array.from(indicesInUse(window), (index) => trial.y[index] - evaluate(curve, trial.x[index]));
  const squares = residuals.reduce((sum, value) => sum + value * value, 0);
  return (squares / Math.max(1, residuals.length - 4)) * Math.max(1, correlationFactor(residuals));
}
