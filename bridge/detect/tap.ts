import { NormalEquations } from './estimate/least-squares.ts';
import { correlationFactor, robustSigma } from './estimate/noise.ts';

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

const LEAST_PLATEAU = 4;

/** The plateau of a touch whose samples have settled; null where it is too short to say anything. */
export function plateau(held: Held, settings: TapSettings): Tap | null {
  const n = held.t.length;
  if (n < LEAST_PLATEAU) return null;
  const sides = held.saturated.reduce((sum, side) => sum + side, 0);
  if (Math.abs(sides) > n / 2) return saturatedTap(held, Math.sign(sides) as -1 | 1);
  const level = fitLevel(held, settings);
  if (level === null) return null;
  const x = mean(held.x);
  const noise = held.x.reduce((sum, value) => sum + (value - x) ** 2, 0) / Math.max(1, n - 1);
  return {
    tS: mean(held.t),
    xCm: x,
    xVariance: noise / n + hiddenByStep(noise, settings.stepCm),
    y: level.y,
    yVariance: level.variance,
    saturated: 0,
  };
}

/**
 * Variance in cm² that quantising leaves in the mean of a place held still: step²/12 without noise; noise of a good
 * part of a step carries the mean across it, and the error falls as exp(-2 pi² (sigma/step)²) (Gray and Stockham,
 * IEEE Trans. Inf. Theory 39, 805 (1993); the first harmonic).
 */
function hiddenByStep(seenVariance: number, stepCm: number): number {
  if (stepCm === 0) return 0;
  const step2 = stepCm ** 2;
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

/** Mean level with spikes left out and, where hum is known, hum fitted beside it. */
function fitLevel(held: Held, settings: TapSettings): { y: number; variance: number } | null {
  const n = held.t.length;
  const weight = new Float64Array(n).fill(1).map((_, index) => (held.saturated[index] === 0 ? 1 : 0));
  const withHum = settings.humHz !== null && n >= 12;
  let level = 0;
  let residuals = new Float64Array(n);
  let variance = 0;
  for (let round = 0; round < 3; round += 1) {
    const solved = solveLevel(held, weight, withHum ? settings.humHz : null);
    if (solved === null) return null;
    level = solved.level;
    residuals = solved.residuals;
    variance = solved.unitVariance;
    const limit = 4 * Math.max(robustSigma(residuals), 0.3);
    for (let index = 0; index < n; index += 1) {
      weight[index] = held.saturated[index] === 0 && Math.abs(residuals[index]) <= limit ? 1 : 0;
    }
  }
  const kept = residuals.filter((_, index) => weight[index] > 0);
  if (kept.length < LEAST_PLATEAU) return null;
  const squares = kept.reduce((sum, value) => sum + value * value, 0);
  // A short plateau knows its own noise badly: what the lifted galvanometer showed stands in for 20 samples.
  const known = withHum ? 0 : 20;
  const sigma2 =
    (squares + known * settings.sampleSigma ** 2) / (known + Math.max(1, kept.length - (withHum ? 3 : 1)));
  return { y: level, variance: Math.max(sigma2 * variance * Math.max(1, correlationFactor(kept)), 1e-4) };
}

function solveLevel(held: Held, weight: Float64Array, humHz: number | null) {
  const size = humHz === null ? 1 : 3;
  const equations = new NormalEquations(size);
  const row = new Float64Array(size);
  const fill = (index: number) => {
    row[0] = 1;
    if (humHz === null) return;
    const phase = 2 * Math.PI * humHz * (held.t[index] - held.t[0]);
    row[1] = Math.cos(phase);
    row[2] = Math.sin(phase);
  };
  for (let index = 0; index < held.t.length; index += 1) {
    if (weight[index] === 0) continue;
    fill(index);
    equations.add(row, held.y[index], 1);
  }
  const solution = equations.solve();
  if (solution === null) return null;
  const residuals = new Float64Array(held.t.length);
  for (let index = 0; index < residuals.length; index += 1) {
    fill(index);
    let fitted = 0;
    for (let column = 0; column < size; column += 1) fitted += row[column] * solution.coefficients[column];
    residuals[index] = held.y[index] - fitted;
  }
  return { level: solution.coefficients[0], unitVariance: solution.inverse[0], residuals };
}
