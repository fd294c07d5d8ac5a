import { fixed } from '../app/format.ts';

/** Labels of an axis without the browser's own separators: as many decimals as its steps need. */
export function plainNumbers(_plot: unknown, splits: number[]): string[] {
  const step = splits.length > 1 ? Math.abs(splits[1] - splits[0]) : 1;
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-6));
  return splits.map((split) => fixed(split, decimals));
}
