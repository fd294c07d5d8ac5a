import type { Bench } from '../bench/bench-file.ts';
import type { Outcome } from '../calc-core/outcome.ts';

/** E1/E2 beside the quotient of the voltmeter's readings in the bench file. */
export interface NominalComparison {
  first: number;
  second: number;
  ratio: number;
  /** Expanded uncertainty of the quotient, k = 2; null where the voltmeter's least count is not stated. */
  U: number | null;
  difference: number;
  /** Expanded uncertainty of the difference; null as above. */
  differenceU: number | null;
}

/**
 * Null where there is nothing to compare with. A reading lies within half a least count of the truth, any place as
 * likely as another (GUM 4.3.7), so its standard uncertainty is the least count over √12; the voltmeter's own
 * calibration and the current that it draws from the cell come on top and nobody states them.
 */
export function compareWithNominal(bench: Bench, result: Outcome): NominalComparison | null {
  const first = bench.cells?.['1']?.voltmeterV;
  const second = bench.cells?.['2']?.voltmeterV;
  if (result.quantity !== 'E1/E2' || first === undefined || second === undefined) return null;
  const ratio = first / second;
  const difference = result.value - ratio;
  const least = bench.voltmeter?.leastCountV;
  if (least === undefined) return { first, second, ratio, U: null, difference, differenceU: null };
  const U = 2 * ratio * (least / Math.sqrt(12)) * Math.hypot(1 / first, 1 / second);
  return { first, second, ratio, U, difference, differenceU: Math.hypot(U, result.U) };
}
