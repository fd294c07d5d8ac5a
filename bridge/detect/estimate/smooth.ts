import { laggedPosition } from './lag-filter.ts';

/** Half-width of the window: wide against sampling, narrow against a hand's tremor of about 10 Hz. */
const HALF_WINDOW_S = 0.03;
/** Time constants after which nothing is left of a pulse: e^-8. */
const TAIL_LAGS = 8;

export interface Smoothed {
  x: Float64Array;
  /** Variance of one raw position about the smoothed ones, in cm²: noise of the sensor. */
  noiseVariance: number;
  /** Weights of the middle of the window, by distance. */
  weights: Float64Array;
  periodS: number;
}

/**
 * Positions smoothed by a local parabola (Savitzky and Golay, Anal. Chem. 36, 1627 (1964)); towards the ends
 * the window narrows. Samples are taken as evenly spaced: a lost one bends the window a little.
 */
export function smoothed(t: Float64Array, x: Float64Array): Smoothed {
  const n = x.length;
  const periodS = n > 1 ? (t[n - 1] - t[0]) / (n - 1) : 1;
  const widest = Math.max(2, Math.round(HALF_WINDOW_S / periodS));
  const weights = Array.from({ length: widest + 1 }, (_, half) => parabolaWeights(half));
  const smooth = x.map((value, index) => {
    const half = Math.min(widest, index, n - 1 - index);
    if (half < 2) return value;
    let sum = 0;
    for (let k = -half; k <= half; k += 1) sum += weights[half][Math.abs(k)] * x[index + k];
    return sum;
  });
  let squares = 0;
  for (let index = widest; index < n - widest; index += 1) squares += (x[index] - smooth[index]) ** 2;
  const inner = Math.max(1, n - 2 * widest);
  return {
    x: smooth,
    noiseVariance: squares / inner / (1 - weights[widest][0]),
    weights: weights[widest],
    periodS,
  };
}

/**
 * Sum of squared weights of the smoothing, a single-pole lag behind it, and the mean of `together` neighbours behind
 * that: how much of the sensor's noise stays.
 */
export function noiseKept({ weights, periodS }: Smoothed, lagS: number, together: number): number {
  const half = weights.length - 1;
  const tail = Math.ceil((TAIL_LAGS * lagS) / periodS) + 2;
  const length = 2 * half + 3 + tail + together;
  const t = Float64Array.from({ length }, (_, index) => index * periodS);
  const pulse = new Float64Array(length);
  for (let k = -half; k <= half; k += 1) pulse[half + 1 + k] = weights[Math.abs(k)];
  const response = new Float64Array(length);
  laggedPosition(t, pulse, lagS, response);
  let kept = 0;
  let mean = 0;
  for (let index = 0; index < length; index += 1) {
    mean += (response[index] - (index >= together ? response[index - together] : 0)) / together;
    kept += mean * mean;
  }
  return kept;
}

/** Weights at distance 0 to `half` for the middle of a parabola fitted to 2 half + 1 points. */
function parabolaWeights(half: number): Float64Array {
  const m = half;
  const scale = 3 / ((2 * m - 1) * (2 * m + 1) * (2 * m + 3));
  return Float64Array.from({ length: m + 1 }, (_, k) => scale * (3 * m * m + 3 * m - 1 - 5 * k * k));
}
