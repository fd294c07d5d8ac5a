import { median } from '../../calc-core/median.ts';

/** What the residuals of a fit say of the noise: its size, and how much neighbours repeat each other. */

/** Variance that rounding to whole counts leaves in a sample, in counts². */
export const QUANTISING_VARIANCE = 1 / 12;
/** Noise of a sample is taken for no less, in counts: its root, rounded up. */
export const LEAST_SIGMA_COUNTS = 0.3;

/** Standard deviation of a normal distribution over the median of its absolute values: 1/0.6745. */
const NORMAL_SIGMAS = 1.4826;

/** Median of the absolute values, scaled to the standard deviation of a normal distribution. */
export function robustSigma(values: Float64Array): number {
  if (values.length === 0) return 0;
  const sizes = new Float64Array(values.length);
  for (let index = 0; index < sizes.length; index += 1) sizes[index] = Math.abs(values[index]);
  return NORMAL_SIGMAS * median(sizes);
}

/** Noise of one sample by how much neighbours differ: what changes slowly, or jumps once, leaves no trace in it. */
export function neighbourSigma(values: Float64Array): number {
  if (values.length < 2) return 0;
  return robustSigma(values.subarray(1).map((value, index) => value - values[index])) / Math.SQRT2;
}

/** The same by second differences, which an even motion leaves alone. */
export function steadySigma(values: Float64Array): number {
  if (values.length < 3) return 0;
  const bends = values.subarray(2).map((value, index) => value - 2 * values[index + 1] + values[index]);
  return robustSigma(bends) / Math.sqrt(6);
}

/** Highest order of the autoregression, and samples that each order takes to be told (common practice, no source). */
const MOST_ORDER = 6;
const SAMPLES_AN_ORDER = 30;
/**
 * One less the sum of the coefficients is taken for no less: a memory beyond 1/0.03 = 33 samples can't be told from a
 * bend.
 */
const LEAST_GAIN = 0.03;
/** Neighbours that take turns make a mean better, but are not believed to do so by more (common practice, no source). */
const LEAST_FACTOR = 0.3;
/** However long the memory, a pass is worth so many independent samples (common practice, no source). */
const LEAST_INDEPENDENT = 8;
/** A share of the variance under which nothing is left to foretell. */
const ALL_FORETOLD = 1e-9;

/**
 * Factor by which correlation between neighbours widens the variance of a mean (or of any slowly varying
 * fit): the spectral density at zero frequency over the variance, from an autoregression (Yule-Walker equations,
 * Levinson's recursion) whose order Schwarz's criterion chooses, so that white noise mostly gets none and exactly 1.
 */
export function correlationFactor(residuals: Float64Array): number {
  const n = residuals.length;
  const most = Math.min(MOST_ORDER, Math.floor(n / SAMPLES_AN_ORDER));
  const covariance = autocovariance(residuals, most);
  if (most === 0 || !(covariance[0] > 0)) return 1;
  const chosen = bestOrder(covariance, most, n);
  const gain = 1 - chosen.coefficients.reduce((sum, value) => sum + value, 0);
  const factor = chosen.innovation / (Math.max(LEAST_GAIN, gain) ** 2 * covariance[0]);
  return Math.min(n / LEAST_INDEPENDENT, Math.max(LEAST_FACTOR, factor));
}

function autocovariance(values: Float64Array, most: number): Float64Array {
  const covariance = new Float64Array(most + 1);
  for (let lag = 0; lag <= most; lag += 1) {
    let sum = 0;
    for (let index = lag; index < values.length; index += 1) sum += values[index] * values[index - lag];
    covariance[lag] = sum / values.length;
  }
  return covariance;
}

interface Autoregression {
  coefficients: number[];
  /** Variance of what neighbours do not foretell. */
  innovation: number;
}

/** Levinson's recursion order by order, and the one that Schwarz's criterion prefers. */
function bestOrder(covariance: Float64Array, most: number, n: number): Autoregression {
  let model: Autoregression = { coefficients: [], innovation: covariance[0] };
  let best = model;
  let least = n * Math.log(model.innovation);
  for (let order = 1; order <= most; order += 1) {
    model = nextOrder(model, covariance, order);
    if (!(model.innovation > ALL_FORETOLD * covariance[0])) break;
    const criterion = n * Math.log(model.innovation) + order * Math.log(n);
    if (criterion < least) {
      least = criterion;
      best = model;
    }
  }
  return best;
}

function nextOrder(
  { coefficients, innovation }: Autoregression,
  covariance: Float64Array,
  order: number,
): Autoregression {
  let reflection = covariance[order];
  for (let j = 1; j < order; j += 1) reflection -= coefficients[j - 1] * covariance[order - j];
  reflection /= innovation;
  const kept = coefficients.map((value, j) => value - reflection * coefficients[order - 2 - j]);
  return { coefficients: [...kept, reflection], innovation: innovation * (1 - reflection * reflection) };
}
