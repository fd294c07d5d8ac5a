import { slopeAt } from './curve.ts';
import type { RobustFit } from './robust-fit.ts';
import type { Window } from './window.ts';

/**
 * A galvanometer whose amplifier clips, or whose gain falls: off the null its current grows less than at the null. A jump of the current
 * (a broken wire, a key) has no line at its middle, and a lifted jockey rests there.
 */

/** Currents under this share of the largest lie about the null. */
const NEAR_SHARE = 0.5;
/** A rise under this share of that at the null is none of a sound galvanometer (common practice, no source). */
const GROWS_SHARE = 0.6;
/** Samples that show a rise. */
const LEAST_OUTER = 6;

/** Indices of the window's samples about the null. */
export function nearNull({ y }: Window): number[] {
  const limit = NEAR_SHARE * y.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return [...y.keys()].filter((index) => Math.abs(y[index]) < limit);
}

/** @param near fit of the samples about the null alone @param rootCm its root */
export function growsLess(window: Window, near: RobustFit, rootCm: number): boolean {
  const limit = GROWS_SHARE * Math.abs(slopeAt(near.curve, rootCm));
  return [-1, 1].some((side) => {
    const rise = outerRise(window, side);
    return rise !== null && rise < limit;
  });
}

/** How fast the current grows outwards over the half of one sign's samples that lies furthest out, in counts per cm. */
function outerRise({ x, y }: Window, side: number): number | null {
  const own = [...y.keys()]
    .filter((index) => side * y[index] > 0)
    .sort((a, b) => Math.abs(y[a]) - Math.abs(y[b]));
  if (own.length < 2 * LEAST_OUTER) return null;
  const outward = Math.sign(x[own[own.length - 1]] - x[own[0]]);
  const outer = own.sort((a, b) => outward * (x[a] - x[b])).slice(own.length / 2);
  const mean = (column: Float64Array) => outer.reduce((sum, index) => sum + column[index], 0) / outer.length;
  const [xMean, yMean] = [mean(x), mean(y)];
  let [product, square] = [0, 0];
  for (const index of outer) {
    product += (x[index] - xMean) * (y[index] - yMean);
    square += (x[index] - xMean) ** 2;
  }
  return square > 0 ? (outward * side * product) / square : null;
}
