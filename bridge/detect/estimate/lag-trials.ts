import type { LagOfPass } from '../lag.ts';
import { BLUNT } from '../lag.ts';
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
import { indicesInUse, picked } from './window.ts';

/** Root and misfit of a pass at each trial lag. */
export interface LagTrials {
  /** cm on the scale, at each lag of `LAG_GRID_MS`. */
  rootsCm: Float64Array;
  /** What the pass itself says of the lag. */
  lag: LagOfPass;
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
  const trials = trialsOf(pass, window, fit, rootCm, smooth);
  const sensorVariance = trials.window.y.length * slopeAt(fit.curve, rootCm) ** 2 * smooth.noiseVariance;
  const sensorAt = (lagMs: number): number =>
    sensorVariance * noiseKept(smooth, lagMs / 1000, trials.together);
  const misfit = (lagMs: number): Trial => {
    const trial = trials.at(lagMs / 1000);
    return { ...trial, squares: trial.squares - sensorAt(lagMs) };
  };
  const onGrid = LAG_GRID_MS.map(misfit);
  const least = onGrid.reduce((best, next) => (next.squares < best.squares ? next : best));
  const near = finer((lagMs) => misfit(lagMs).squares, onGrid.indexOf(least));
  const noise = noiseAbout(fit, trials, trials.at(near.lagMs / 1000).curve);
  const sensorNear = sensorAt(near.lagMs);
  const doubt = SENSOR_DOUBT + 2 * Math.sqrt(2 / trials.window.y.length);
  const cost = Float64Array.from(onGrid, (trial, at) => {
    const sensor = Math.abs(sensorAt(LAG_GRID_MS[at]) - sensorNear);
    return Math.max(0, trial.squares - near.squares - doubt * sensor) / noise;
  });
  const cares =
    Math.min(cost[0], cost[cost.length - 1]) > BLUNT || Math.max(...cost) > CARES_SOMEWHERE * BLUNT;
  // Smoothing moves the root by a share of the noise; the fit's own root stays what it was at its own lag.
  const shift = rootCm - trials.at(lagS).rootCm;
  return {
    rootsCm: Float64Array.from(onGrid, (trial) => trial.rootCm + shift),
    lag: { cost, best: cares ? { lagMs: near.lagMs, sigmaMs: Math.sqrt((2 * noise) / near.bend) } : null },
  };
}

/**
 * Share by which what is taken off for the sensor's noise may be off, beside what chance does in so many samples: the noise is
 * that of the whole pass, and a step of the converter scatters otherwise at rest than on the move.
 */
const SENSOR_DOUBT = 0.3;

/** A misfit so many times `BLUNT` at any lag cares, too, however blunt it is at the grid's ends. */
const CARES_SOMEWHERE = 4;

/** Steps of the parabola's sides in milliseconds, ever smaller. */
const SIDES_MS = [1.5, 0.4, 0.1];
/** The top of a parabola is believed no further off than so many sides. */
const MOST_SIDES = 3;
const LEAST_BEND = 1e-12;

/** The least misfit between the grid's lags, by parabolas, with its second derivative there. */
function finer(
  misfit: (lagMs: number) => number,
  at: number,
): { lagMs: number; squares: number; bend: number } {
  let lagMs = LAG_GRID_MS[at];
  let bend = 0;
  for (const side of SIDES_MS) {
    // A lag is not negative: at the edge the parabola leans on what lies inside.
    const middle = Math.max(side, lagMs);
    const [before, here, after] = [misfit(middle - side), misfit(middle), misfit(middle + side)];
    const second = (before - 2 * here + after) / side ** 2;
    if (!(second > 0)) break;
    bend = second;
    const step = (before - after) / (2 * side) / second;
    lagMs = Math.max(0, middle + Math.max(-MOST_SIDES * side, Math.min(MOST_SIDES * side, step)));
  }
  return { lagMs, squares: misfit(lagMs), bend: Math.max(bend, LEAST_BEND) };
}

/** Trials want the course of the pass, not every sample of it: beyond this many, neighbours are averaged. */
const MOST_BLOCKS = 250;

interface Trials {
  at(lagS: number): Trial;
  /** The blocks as the last trial had them. */
  window: Window;
  /** Samples averaged in a block. */
  together: number;
}

function trialsOf(pass: Pass, window: Window, fit: RobustFit, rootCm: number, smooth: Smoothed): Trials {
  const used = indicesInUse(window);
  const together = Math.ceil(used.length / MOST_BLOCKS);
  const places = Int32Array.from(used, (index) => pass.fitted[index]);
  const lagged = new Float64Array(pass.t.length);
  const y = blockMeans(picked(withoutHum(window, fit), used), together);
  const blocks: Window = { ...window, y, x: y, weight: new Uint8Array(y.length).fill(1) };
  const at = (lagS: number): Trial => {
    laggedPosition(pass.t, smooth.x, lagS, lagged);
    blocks.x = blockMeans(picked(lagged, places), together);
    const there = fitPolynomial(blocks, fit.told);
    const root = there === null ? Number.NaN : rootOf(there.curve);
    // Where a lag leaves no fit, it is told apart by its cost; the place must stay a number.
    if (there === null || !Number.isFinite(root))
      return { rootCm, squares: Number.POSITIVE_INFINITY, curve: null };
    return { rootCm: root, squares: there.squares, curve: there.curve };
  };
  return { at, window: blocks, together };
}

/** Means of so many neighbours each; a last block that would be short is left out. */
function blockMeans(values: Float64Array, together: number): Float64Array {
  if (together === 1) return values;
  const means = new Float64Array(Math.floor(values.length / together));
  for (let block = 0; block < means.length; block += 1) {
    let sum = 0;
    for (let index = block * together; index < (block + 1) * together; index += 1) sum += values[index];
    means[block] = sum / together;
  }
  return means;
}

/** Variance that one independent block about the best trial would have. */
function noiseAbout(fit: RobustFit, { window }: Trials, curve: Curve | null): number {
  const residuals =
    curve === null ? fit.residuals : window.y.map((level, block) => level - evaluate(curve, window.x[block]));
  const squares = residuals.reduce((sum, value) => sum + value * value, 0);
  return (squares / Math.max(1, residuals.length - 4)) * Math.max(1, correlationFactor(residuals));
}
