import { NormalEquations } from './least-squares.ts';
import {
  correlationFactor,
  LEAST_SIGMA_COUNTS,
  neighbourSigma,
  QUANTISING_VARIANCE,
  robustSigma,
} from './noise.ts';

/** The level of a settled current: robust mean, with hum fitted beside it where its frequency is known. */

export interface Level {
  counts: number;
  /** Variance of the level in counts². */
  variance: number;
  /** Standard deviation of one sample about the fit, hum taken out. */
  sigma: number;
  /** The same from differences of neighbours alone. */
  neighbourSigma: number;
}

export interface LevelSettings {
  humHz: number | null;
  /** Standard deviation of a sample as known beforehand, hum included; stands in where a stretch is short. */
  sampleSigma: number;
}

const ROUNDS = 3;
/** Of normal noise one sample in 16,000 lies further off. */
const OUTLIER_SIGMAS = 4;
const LEAST_SAMPLES = 4;
/** Samples from which hum is fitted: fewer cannot tell it from the level. */
const LEAST_FOR_HUM = 12;
/** What is known beforehand of the noise counts as so many samples (common practice, no source). */
const KNOWN_SAMPLES = 20;

/** Null for a stretch too short to say anything. */
export function fitLevel(t: Float64Array, y: Float64Array, settings: LevelSettings): Level | null {
  const n = t.length;
  if (n < LEAST_SAMPLES) return null;
  const humHz = n >= LEAST_FOR_HUM ? settings.humHz : null;
  const weight = new Uint8Array(n).fill(1);
  let solved: Solved | null = null;
  for (let round = 0; round < ROUNDS; round += 1) {
    solved = solve(t, y, weight, humHz);
    if (solved === null) return null;
    const limit = OUTLIER_SIGMAS * Math.max(robustSigma(solved.residuals), LEAST_SIGMA_COUNTS);
    for (let index = 0; index < n; index += 1)
      weight[index] = Math.abs(solved.residuals[index]) <= limit ? 1 : 0;
  }
  solved = solve(t, y, weight, humHz);
  return solved === null ? null : conclude(solved, weight, humHz !== null, settings.sampleSigma);
}

interface Solved {
  counts: number;
  unitVariance: number;
  residuals: Float64Array;
}

function conclude(solved: Solved, weight: Uint8Array, withHum: boolean, sampleSigma: number): Level | null {
  const kept = solved.residuals.filter((_, index) => weight[index] === 1);
  if (kept.length < LEAST_SAMPLES) return null;
  const squares = kept.reduce((sum, value) => sum + value * value, 0);
  const known = withHum ? 0 : KNOWN_SAMPLES;
  const spare = Math.max(1, kept.length - (withHum ? 3 : 1));
  const sigma2 = (squares + known * sampleSigma ** 2) / (known + spare);
  const variance =
    Math.max(sigma2, QUANTISING_VARIANCE) * solved.unitVariance * Math.max(1, correlationFactor(kept));
  return {
    counts: solved.counts,
    variance,
    sigma: Math.sqrt(squares / spare),
    neighbourSigma: neighbourSigma(kept),
  };
}

function solve(t: Float64Array, y: Float64Array, weight: Uint8Array, humHz: number | null): Solved | null {
  const equations = new NormalEquations(humHz === null ? 1 : 3);
  const row = new Float64Array(equations.size);
  const origin = y[0];
  for (let index = 0; index < y.length; index += 1) {
    if (weight[index] === 0) continue;
    fillRow(row, t[index] - t[0], humHz);
    equations.add(row, y[index] - origin, 1);
  }
  const solution = equations.solve();
  if (solution === null) return null;
  const { coefficients, inverse } = solution;
  const residuals = new Float64Array(y.length);
  for (let index = 0; index < y.length; index += 1) {
    fillRow(row, t[index] - t[0], humHz);
    let fitted = 0;
    for (let column = 0; column < row.length; column += 1) fitted += row[column] * coefficients[column];
    residuals[index] = y[index] - origin - fitted;
  }
  return { counts: origin + coefficients[0], unitVariance: inverse[0], residuals };
}

function fillRow(row: Float64Array, tS: number, humHz: number | null): void {
  row[0] = 1;
  if (humHz === null) return;
  const phase = 2 * Math.PI * humHz * tS;
  row[1] = Math.cos(phase);
  row[2] = Math.sin(phase);
}
