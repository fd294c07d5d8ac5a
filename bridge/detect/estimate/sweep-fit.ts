import type { LagOfPass } from '../lag.ts';
import type { Pass } from '../pass.ts';
import type { Curve } from './curve.ts';
import { rootOf, rootVariance, slopeAt } from './curve.ts';
import { growsLess, nearNull } from './grows-less.ts';
import type { Hum } from './hum.ts';
import { laggedPosition } from './lag-filter.ts';
import type { LagTrials } from './lag-trials.ts';
import { lagTrials } from './lag-trials.ts';
import { correlationFactor } from './noise.ts';
import type { Known, Refusal } from './refuse.ts';
import { refuse } from './refuse.ts';
import type { RobustFit } from './robust-fit.ts';
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
  known: Known;
}

export interface SweepFit {
  /** Position of the root in cm on the metre scale, at the lag of the fit. */
  rootCm: number;
  /** The same at each lag of `LAG_GRID_MS`. */
  rootsCm: Float64Array;
  /** What the pass itself says of the lag. */
  lag: LagOfPass;
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
  /** A few dozen of the samples in use, for a picture: a run of hours keeps thousands of nulls. */
  shown: { x: Float64Array; y: Float64Array };
}

/**
 * The null of a pass: counts fitted against the place as the current lags behind it, at the run's lag, or at the pass's own
 * where that is plainly another; and the root of the curve, an inverse calibration with the delta method for its variance
 * (docs/method.md, "The fit of a pass"; held to examples of Graybill and Iyer and of Massart in tests/published).
 * @returns the fit, places in cm of the metre scale and levels in counts, or why the pass holds no null
 */
export function fitSweep(pass: Pass, settings: SweepFitSettings): SweepFit | Refusal {
  const first = attemptAt(pass, settings, settings.lagS);
  if (typeof first === 'string') return first;
  // A wrong lag bends what a hand's uneven pace makes of a line; the pass itself may know better.
  if (first.refusal !== null && first.refusal !== 'not-a-line') return first.refusal;
  const trials = lagTrials(pass, first.window, first.fit, first.rootCm, settings.lagS);
  const again = plainlyOther(trials, settings.lagS)
    ? attemptAt(pass, settings, (trials.lag.best as { lagMs: number }).lagMs / 1000)
    : null;
  if (again !== null && typeof again !== 'string' && again.refusal === null) {
    const { window, fit, rootCm, lagS } = again;
    return conclude(pass, again, lagTrials(pass, window, fit, rootCm, lagS));
  }
  if (first.refusal === null) return conclude(pass, first, trials);
  return clips(pass, settings, first.window) ? 'grows-less' : first.refusal;
}

/** Whether what is no line over the whole pass is one about the null alone, and flatter beyond. */
function clips(pass: Pass, settings: SweepFitSettings, window: Window): boolean {
  const fitted = Int32Array.from(nearNull(window), (index) => pass.fitted[index]);
  const near = attemptAt({ ...pass, fitted }, settings, settings.lagS);
  return typeof near !== 'string' && near.refusal === null && growsLess(window, near.fit, near.rootCm);
}

/** A pass's own lag that lies further from the run's than so many of its standard deviations is taken for its fit. */
const PLAIN = 3;

function plainlyOther({ lag: { best } }: LagTrials, lagS: number): boolean {
  return best !== null && Math.abs(best.lagMs - lagS * 1000) >= PLAIN * best.sigmaMs;
}

interface Attempt {
  window: Window;
  fit: RobustFit;
  rootCm: number;
  lagS: number;
  refusal: Refusal | null;
}

/** A refusal alone where there is no fit at all. */
function attemptAt(pass: Pass, settings: SweepFitSettings, lagS: number): Attempt | Refusal {
  const lagged = new Float64Array(pass.t.length);
  laggedPosition(pass.t, pass.x, lagS, lagged);
  const window = windowOf(pass, lagged, settings.zeroCounts, settings.shape);
  if (window === null) return 'too-few-samples';
  const fit = robustFit(window, settings.shape);
  if (fit === null) return 'no-slope';
  const rootCm = rootOf(fit.curve);
  return { window, fit, rootCm, lagS, refusal: refuse(pass, window, fit, rootCm, settings.known) };
}

function conclude(pass: Pass, { window, fit, rootCm }: Attempt, trials: LagTrials): SweepFit {
  const used = indicesInUse(window);
  const shown = everySoManyth(used);
  const factor = correlationFactor(picked(fit.residuals, used));
  return {
    rootCm,
    rootsCm: trials.rootsCm,
    lag: trials.lag,
    varianceCm2: varianceOf(fit, rootCm, factor),
    dof: Math.max(1, fit.dof / Math.max(1, factor)),
    slope: slopeAt(fit.curve, rootCm),
    noiseCounts: fit.sigma,
    hum: fit.hum,
    tS: crossingTime(window, used, rootCm),
    direction: pass.x[pass.x.length - 1] >= pass.x[pass.start] ? 1 : -1,
    curve: fit.curve,
    shown: { x: picked(window.x, shown), y: picked(window.y, shown) },
  };
}

/** About the root of the fit, over both fits that may be right. */
function varianceOf(fit: RobustFit, rootCm: number, factor: number): number {
  const own = fit.sigma ** 2 * factor * rootVariance(fit.curve, fit.inverse, fit.size, rootCm);
  if (fit.other === null) return own;
  const { fit: other, share } = fit.other;
  const otherRoot = rootOf(other.curve);
  if (!Number.isFinite(otherRoot)) return own;
  const variance =
    other.sigma ** 2 * factor * rootVariance(other.curve, other.inverse, other.size, otherRoot);
  return (1 - share) * own + share * (variance + (otherRoot - rootCm) ** 2);
}

const MOST_SHOWN = 60;

function everySoManyth(used: Int32Array): Int32Array {
  const step = Math.max(1, Math.ceil(used.length / MOST_SHOWN));
  return used.filter((_, at) => at % step === 0);
}

/** When the jockey was nearest to the root. */
function crossingTime(window: Window, used: Int32Array, rootCm: number): number {
  let nearest = used[0];
  for (const index of used) {
    if (Math.abs(window.x[index] - rootCm) < Math.abs(window.x[nearest] - rootCm)) nearest = index;
  }
  return window.t[nearest];
}
