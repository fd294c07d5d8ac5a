import { median } from './median.ts';
import { plainMean } from './plain-mean.ts';

export interface RobustMean {
  mean: number;
  standardDeviation: number;
}

const TO_SIGMA = 1.483;
const CUT = 1.5;
/** Makes up for what the cut takes from a normal distribution's standard deviation. */
const WINSORISED = 1.134;
/** Relative change of the standard deviation from which on nothing more happens: far below the third digit. */
const SETTLED = 1e-9;
const MOST_ROUNDS = 200;

/**
 * Robust mean and standard deviation by algorithm A (ISO 13528:2015, annex C.3): values that lie further than 1.5 standard
 * deviations out are moved there, until nothing changes. Standard deviation 0 where half of the values are equal.
 */
export function algorithmA(values: readonly number[]): RobustMean {
  let mean = median(values);
  const start = mean;
  let standardDeviation = TO_SIGMA * median(values.map((value) => Math.abs(value - start)));
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const [low, high] = [mean - CUT * standardDeviation, mean + CUT * standardDeviation];
    const moved = plainMean(values.map((value) => Math.min(high, Math.max(low, value))));
    const next = WINSORISED * (moved.standardDeviation ?? 0);
    const isSettled = Math.abs(next - standardDeviation) <= SETTLED * standardDeviation;
    mean = moved.mean;
    standardDeviation = next;
    if (isSettled) break;
  }
  return { mean, standardDeviation };
}
