import { lowerMedian } from '../../calc-core/median.ts';

/** Mains hum: is there a line near 50 or 60 Hz in these residuals, and where exactly? */

export interface Hum {
  hz: number;
}

/** Nominal frequencies of the world's mains in Hz. */
export const MAINS_HZ = [50, 60];
const HALF_BAND_HZ = 0.8;
/** Peak power, in units of its mean in white noise, that hum must reach: a chance of about 1 in 2,000 a search. */
const EARNED = 12;
/**
 * Step of the search in Hz, for stretches over a second in widths of a line, 1/span: between two steps an eighth of
 * the power is lost.
 */
const SEARCH_STEP = 0.4;
/** Where hum is all there is, this share of it stands in for the noise: rounding. */
const LEAST_REST = 1e-3;
/** Below this nothing can be told: too short a stretch, too few samples. */
const LEAST_SPAN_S = 0.2;
const LEAST_SAMPLES = 16;
/**
 * Beats that hum must show while a null is crossed: of fewer, a line and its bending take a part, and hum of 10 uA moved
 * nulls of the simulated bench by many of their standard uncertainties.
 */
const LEAST_BEATS = 1.5;

/**
 * Whether hum of a frequency comes out of sampling as a current so slow that it can't be told from the null's own shape.
 * Hum at half the rate does not: it changes sign from sample to sample.
 * @param rateHz samples a second
 * @param withinS for how long it is looked at: the time that crossing the null takes, in seconds
 */
export function aliasesHum(rateHz: number, humHz: number, withinS: number): boolean {
  const turns = Math.round(humHz / rateHz);
  return turns > 0 && Math.abs(humHz - turns * rateHz) * withinS < LEAST_BEATS;
}

/** Steps that differ by less than this keep the rotation, corrected to second order: sampling jitter of microseconds. */
const JITTER_S = 3e-5;

/** A determinant under this share of n² leaves one column of the two: hum at half the sampling rate. */
const ONE_COLUMN = 1e-6;

/**
 * Squares of `r` that a sine of this frequency explains, times half the number of samples: |sum of r e^(-iwt)|², but for
 * hum near half the sampling rate, where sine and cosine overlap (N. R. Lomb, Astrophys. Space Sci. 39, 447 (1976), from
 * memory). Neighbouring samples mostly lie one period apart, so the rotation is kept.
 */
function power(t: Float64Array, r: Float64Array, hz: number): number {
  const omega = 2 * Math.PI * hz;
  let cos = 1;
  let sin = 0;
  let step = -1;
  let stepCos = 1;
  let stepSin = 0;
  let re = r[0];
  let im = 0;
  let cosCos = 1;
  let cosSin = 0;
  for (let index = 1; index < t.length; index += 1) {
    const gap = t[index] - t[index - 1];
    if (Math.abs(gap - step) > JITTER_S) {
      step = gap;
      stepCos = Math.cos(omega * step);
      stepSin = Math.sin(omega * step);
    }
    const off = omega * (gap - step);
    const whole = 1 - (off * off) / 2;
    const turnedCos = cos * stepCos - sin * stepSin;
    const turnedSin = sin * stepCos + cos * stepSin;
    cos = whole * turnedCos - off * turnedSin;
    sin = whole * turnedSin + off * turnedCos;
    re += r[index] * cos;
    im += r[index] * sin;
    cosCos += cos * cos;
    cosSin += cos * sin;
  }
  const n = t.length;
  const sinSin = n - cosCos;
  const determinant = cosCos * sinSin - cosSin * cosSin;
  if (determinant < ONE_COLUMN * n * n) return (re * re + im * im) / 2;
  return (n / 2) * ((sinSin * re * re - 2 * cosSin * re * im + cosCos * im * im) / determinant);
}

/**
 * Looks for hum in residuals `r` at times `t` (seconds, growing). Null where no line stands out of the noise, where
 * sampling makes a slow current of it, or where the stretch is too short to tell (under 0.2 s or 16 samples). `near` is
 * hum found in the same samples before: it is only looked at more closely.
 */
export function findHum(t: Float64Array, r: Float64Array, near: Hum | null = null): Hum | null {
  const n = t.length;
  const spanS = n > 1 ? t[n - 1] - t[0] : 0;
  if (n < LEAST_SAMPLES || spanS < LEAST_SPAN_S) return null;
  const stepHz = Math.min(SEARCH_STEP, SEARCH_STEP / spanS);
  const best = near === null ? strongest(t, r, spanS, stepHz) : { hz: near.hz, power: power(t, r, near.hz) };
  const total = r.reduce((sum, value) => sum + value * value, 0);
  const rest = Math.max(total - (2 * best.power) / n, LEAST_REST * total);
  if (!(best.power / rest > EARNED)) return null;
  return { hz: refine(t, r, best.hz, stepHz) };
}

function strongest(
  t: Float64Array,
  r: Float64Array,
  spanS: number,
  stepHz: number,
): { hz: number; power: number } {
  const rateHz = rateOf(t);
  const canTell = (hz: number) => !aliasesHum(rateHz, hz, spanS);
  let best = { hz: 0, power: 0 };
  for (const band of MAINS_HZ.filter(canTell)) {
    for (let hz = band - HALF_BAND_HZ; hz <= band + HALF_BAND_HZ; hz += stepHz) {
      if (!canTell(hz)) continue;
      const here = power(t, r, hz);
      if (here > best.power) best = { hz, power: here };
    }
  }
  return best;
}

/** Samples a second by the gap that most neighbours have: what was saturated or left out widens some. */
function rateOf(t: Float64Array): number {
  return 1 / lowerMedian(t.subarray(1).map((tS, index) => tS - t[index]));
}

/** Top of the parabola through the power at three neighbours, narrowed twice. */
function refine(t: Float64Array, r: Float64Array, startHz: number, startStepHz: number): number {
  let hz = startHz;
  let step = startStepHz / 2;
  for (let round = 0; round < 2; round += 1) {
    const before = power(t, r, hz - step);
    const here = power(t, r, hz);
    const after = power(t, r, hz + step);
    const bend = before - 2 * here + after;
    // In the dip at half the sampling rate either side is higher.
    if (bend >= 0) hz += before > after ? -step : step;
    else hz += Math.max(-step, Math.min(step, (0.5 * step * (before - after)) / bend));
    step /= 4;
  }
  return hz;
}
