import type { NormalPart } from '../../bridge/calc-core/mixture.ts';

/** Plain numerics that share nothing with the core: sums over a grid and Gaussian elimination. */

/** Share of a mixture of normal distributions between two ends, by the midpoint rule on each part's own scale. */
export function heldBetween(parts: readonly NormalPart[], low: number, high: number): number {
  const whole = parts.reduce((sum, { weight }) => sum + weight, 0);
  return parts.reduce((sum, { weight, mean, variance }) => {
    const u = Math.sqrt(variance);
    const [from, to] = [(low - mean) / u, (high - mean) / u].map((end) => Math.max(-9, Math.min(9, end)));
    return (
      sum + (weight / whole) * midpoints(from, to, (z) => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI))
    );
  }, 0);
}

const STEPS = 2000;

export function midpoints(from: number, to: number, of: (x: number) => number): number {
  const step = (to - from) / STEPS;
  let sum = 0;
  for (let index = 0; index < STEPS; index += 1) sum += of(from + (index + 0.5) * step);
  return sum * step;
}

/** Solves a·x = b, and gives the determinant of a; elimination with pivoting. */
export function solveLinear(a: readonly (readonly number[])[], b: readonly number[]) {
  const rows = a.map((row, index) => [...row, b[index]]);
  let determinant = 1;
  for (let at = 0; at < rows.length; at += 1) {
    const pivot = rows.reduce(
      (best, row, index) => (index >= at && Math.abs(row[at]) > Math.abs(rows[best][at]) ? index : best),
      at,
    );
    if (pivot !== at) determinant = -determinant;
    [rows[at], rows[pivot]] = [rows[pivot], rows[at]];
    determinant *= rows[at][at];
    for (let other = 0; other < rows.length; other += 1) {
      if (other === at) continue;
      const share = rows[other][at] / rows[at][at];
      rows[other] = rows[other].map((value, column) => value - share * rows[at][column]);
    }
  }
  return { x: rows.map((row, index) => row[rows.length] / row[index]), determinant };
}
