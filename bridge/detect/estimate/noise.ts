/** What the residuals of a fit say of the noise: its size, and how much neighbours repeat each other. */

/** Median of the absolute values, scaled to the standard deviation of a normal distribution. */
export function robustSigma(values: Float64Array): number {
  if (values.length === 0) return 0;
  const sizes = values.map(Math.abs).sort();
  const middle = sizes.length >> 1;
  const median = sizes.length % 2 === 1 ? sizes[middle] : (sizes[middle - 1] + sizes[middle]) / 2;
  return 1.4826 * median;
}

/**
 * Factor by which correlation between neighbours widens the variance of a mean (or of any slowly varying
 * fit): the spectral density at zero frequency over the variance, from an autoregression of low order fitted
 * by Levinson's recursion (Yule-Walker equations). 1 for white noise; held between 0.5 and `residuals.length / 8`.
 */
export function correlationFactor(residuals: Float64Array): number {
  const n = residuals.length;
  const order = Math.min(4, Math.floor(n / 50));
  if (order === 0) return 1;
  const covariance = autocovariance(residuals, order);
  if (!(covariance[0] > 0)) return 1;
  const { coefficients, innovation } = levinson(covariance, order);
  const gain = 1 - coefficients.reduce((sum, value) => sum + value, 0);
  const factor = innovation / (Math.max(0.05, gain) ** 2 * covariance[0]);
  return Math.min(n / 8, Math.max(0.5, factor));
}

export function autocovariance(values: Float64Array, most: number): Float64Array {
  const covariance = new Float64Array(most + 1);
  for (let lag = 0; lag <= most; lag += 1) {
    let sum = 0;
    for (let index = lag; index < values.length; index += 1) sum += values[index] * values[index - lag];
    covariance[lag] = sum / values.length;
  }
  return covariance;
}

function levinson(covariance: Float64Array, order: number): { coefficients: number[]; innovation: number } {
  let coefficients: number[] = [];
  let innovation = covariance[0];
  for (let m = 1; m <= order; m += 1) {
    let reflection = covariance[m];
    for (let j = 1; j < m; j += 1) reflection -= coefficients[j - 1] * covariance[m - j];
    reflection /= innovation;
    coefficients = [
      ...coefficients.map((value, j) => value - reflection * coefficients[m - 2 - j]),
      reflection,
    ];
    innovation *= 1 - reflection * reflection;
    if (!(innovation > 0)) return { coefficients, innovation: covariance[0] * 1e-6 };
  }
  return { coefficients, innovation };
}
