import type { Pass } from '../pass.ts';
import type { Curve } from './curve.ts';
import { rootOf, rootVariance, slopeAt } from './curve.ts';
import type { Hum } from './hum.ts';
import { laggedPosition } from './lag-filter.ts';
import { lagTrials } from './lag-trials.ts';
import { correlationFactor } from './noise.ts';
import type { Refusal } from './refuse.ts';
import { refuse } from './refuse.ts';
import { robustFit } from './robust-fit.ts';
import type { Shape } from './shape.ts';
import type { Window } from './window.ts';
import { indicesInUse, picked, windowOf } from './window.ts';

/** Local robust fit of galvanometer counts against jockey position over one pass, and its root: a null by sweeping. */

export interface SweepFitSettings {
  /** Galvanometer zero in counts: the level whose crossing is the null. */
  zeroCounts: number;
  /** Lag of the current at which the fit is made, in seconds. */
  lagS: number;
  shape: Shape;
}

export interface SweepFit {
  /** Position of the root in cm on the metre scale, at the lag of the fit. */
  rootCm: number;
  /** The same at each lag of `LAG_GRID_MS`. */
  rootsCm: Float64Array;
  /** Misfit over the noise's variance at each lag of the grid, less its least. */
  lagCost: Float64Array;
  /** Variance of the root in cm², from the noise seen. */
  varianceCm2: number;
  dof: number;
  /** Counts per cm of scale at the root. */
  slope: number;
  /** Standard deviation of one sample about the fit, in counts, hum taken out. */
  noiseCounts: number;
  hum: Hum | null;
  /** Seconds at which the root was crossed. */
  tS: number;
  /** +1 where the scale reading grew during the pass, -1 where it fell. */
  direction: 1 | -1;
  curve: Curve;
  /** The samples in use, for a picture. */
  used: { x: Float64Array; y: Float64Array };
}

export function fitSweep(pass: Pass, settings: SweepFitSettings): SweepFit | Refusal {
  const lagged = new Float64Array(pass.t.length);
  laggedPosition(pass.t, pass.x, settings.lagS, lagged);
  const window = windowOf(pass, lagged, settings.zeroCounts, settings.shape);
  if (window === null) return 'too-few-samples';
  const fit = robustFit(window, settings.shape);
  if (fit === null) return 'no-slope';
  const rootCm = rootOf(fit.curve);
  const refusal = refuse(pass, window, fit, rootCm);
  if (refusal !== null) return refusal;
  const used = indicesInUse(window);
  const factor = correlationFactor(picked(fit.residuals, used));
  const trials = lagTrials(pass, window, fit, rootCm, settings.lagS);
  return {
    rootCm,
    rootsCm: trials.rootsCm,
    lagCost: trials.cost,
    varianceCm2: fit.sigma ** 2 * factor * rootVariance(fit.curve, fit.inverse, fit.size, rootCm),
    dof: Math.max(1, fit.dof / Math.max(1, factor)),
    slope: slopeAt(fit.curve, rootCm),
    noiseCounts: fit.sigma,
    hum: fit.hum,
    tS: crossingTime(window, used, rootCm),
    direction: pass.x[pass.x.length - 1] >= pass.x[pass.start] ? 1 : -1,
    curve: fit.curve,
    used: { x: picked(window.x, used), y: picked(window.y, used) },
  };
}

/** When the jockey was nearest to the root. */
function crossingTime(window: Window, used: number[], rootCm: number): number {
  let nearest = used[0];
  for (const index of used) {
    if (Math.abs(window.x[index] - rootCm) < Math.abs(window.x[nearest] - rootCm)) nearest = index;
  }
  return window.t[nearest];
}
