import { fitLevel } from './estimate/level.ts';

/** A tap: the jockey held at one place, and the settled current that it showed. */
export interface Tap {
  tS: number;
  xCm: number;
  /** Variance of the place in cm²: noise averaged, one step of the converter not. */
  xVariance: number;
  /** Mean galvanometer counts of the plateau; saturated where `sign` is all it gives. */
  y: number;
  yVariance: number;
  saturated: -1 | 0 | 1;
}

export interface Held {
  t: Float64Array;
  x: Float64Array;
  y: Float64Array;
  saturated: Int8Array;
}

export interface TapSettings {
  stepCm: number;
  /** Standard deviation of one sample as the lifted galvanometer shows it, hum included. */
  sampleSigma: number;
  /** Hum seen earlier in the run, if any. */
  humHz: number | null;
}

/** Settled samples of a tap: fewer are no level. */
export const LEAST_PLATEAU = 4;

/** The plateau of a touch whose samples have settled; null where it is too short to say anything. */
export function plateau(held: Held, settings: TapSettings): Tap | null {
  const n = held.t.length;
  if (n < LEAST_PLATEAU) return null;
  const sides = held.saturated.reduce((sum, side) => sum + side, 0);
  if (Math.abs(sides) > n / 2) return saturatedTap(held, Math.sign(sides) as -1 | 1);
  const level = levelOf(held, settings);
  if (level === null) return null;
  const x = mean(held.x);
  const noise = held.x.reduce((sum, value) => sum + (value - x) ** 2, 0) / Math.max(1, n - 1);
  return {
    tS: mean(held.t),
    xCm: x,
    xVariance: noise / n + hiddenByStep(noise, settings.stepCm),
    y: level.counts,
    yVariance: level.variance,
    saturated: 0,
  };
}

/**
 * Variance that quantising leaves in the mean of what is held still (in cm² of a place in cm): step²/12 without noise; noise of a good
 * part of a step carries the mean across it, and the error falls as exp(-2 pi² (sigma/step)²) (Gray and Stockham,
 * IEEE Trans. Inf. Theory 39, 805 (1993); the first harmonic).
 */
export function hiddenByStep(seenVariance: number, step: number): number {
  if (step === 0) return 0;
  const step2 = step ** 2;
  const sigma2 = Math.max(0, seenVariance - step2 / 12);
  return Math.min(
    step2 / 12,
    (step2 / (2 * Math.PI ** 2)) * Math.exp((-4 * Math.PI ** 2 * sigma2) / step2) +
      (sigma2 === 0 ? step2 : 0),
  );
}

const mean = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;

const saturatedTap = (held: Held, side: -1 | 1): Tap => ({
  tS: mean(held.t),
  xCm: mean(held.x),
  xVariance: 0,
  y: mean(held.y),
  yVariance: Number.POSITIVE_INFINITY,
  saturated: side,
});

/** Level of the samples that are not saturated. */
function levelOf(held: Held, settings: TapSettings): ReturnType<typeof fitLevel> {
  const clear = (column: Float64Array) => column.filter((_, index) => held.saturated[index] === 0);
  return fitLevel(clear(held.t), clear(held.y), settings);
}
