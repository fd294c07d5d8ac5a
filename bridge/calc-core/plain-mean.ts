import { dot } from './cholesky.ts';
import type { PlainMean } from './outcome.ts';

/**
 * Mean and experimental standard deviation (GUM 4.2.1, 4.2.2), the way textbooks treat the ratios of a table.
 * Shifted by the first value and then corrected for the mean, so that nearly equal values keep their digits.
 */
export function plainMean(values: readonly number[]): PlainMean {
  const n = values.length;
  const shifted = values.map((value) => value - values[0]);
  const shift = shifted.reduce((sum, value) => sum + value, 0) / n;
  const deviations = shifted.map((value) => value - shift);
  return {
    mean: values[0] + shift,
    standardDeviation: n > 1 ? Math.sqrt(dot(deviations, deviations) / (n - 1)) : null,
    n,
  };
}
