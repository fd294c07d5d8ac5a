import type { AveragingTask } from './averaged-outcome.ts';
import { dot } from './cholesky.ts';
import { scaledEffects } from './scaled-effects.ts';

/**
 * Standard uncertainty of a sum over the inputs, correlations allowed for: every effect of known size, and those of the wire and
 * the cells at the size that is stated or ordinary.
 * @param rates change of the sum for each unit of each input
 */
export function uncertaintyOf(rates: readonly number[], { effects, lengths, bench }: AveragingTask): number {
  const known = effects.flatMap(({ columns }) => columns).map((column) => dot(column, rates));
  const moved = lengths.flatMap((_, index) => (rates[index] === 0 ? [] : [index]));
  const scaled = scaledEffects(lengths, bench).reduce(
    (sum, { covariance }) =>
      moved.reduce(
        (part, a) => moved.reduce((inner, b) => inner + rates[a] * rates[b] * covariance(a, b), part),
        sum,
      ),
    0,
  );
  return Math.hypot(...known, Math.sqrt(Math.max(0, scaled)));
}
