import { fixed } from '../../bridge/calc-core/rounding.ts';

const MOST_DECIMALS = 12;

/** Labels of an axis without the browser's own separators: as many decimals as its steps need, so a step of 0.25 has two. */
export function plainNumbers(_plot: unknown, splits: number[]): string[] {
  const step = splits.length > 1 ? Math.abs(splits[1] - splits[0]) : 1;
  let decimals = 0;
  while (decimals < MOST_DECIMALS && !isWhole(step * 10 ** decimals)) decimals += 1;
  return splits.map((split) => fixed(split, decimals));
}

const isWhole = (value: number): boolean => Math.abs(value - Math.round(value)) < 1e-6 * value;
