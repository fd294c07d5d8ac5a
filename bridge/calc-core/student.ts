import tQuantile from '@stdlib/stats-base-dists-t-quantile';

/** The library answers NaN for infinite degrees of freedom; from here on the quantile no longer changes. */
const AS_GOOD_AS_INFINITE = 1e15;

/**
 * Coverage factor k of Student's t: the interval ±k·u holds the share `coverage` (0 < coverage < 1).
 * `dof` may be fractional or Infinity. GUM G.3 and table G.2.
 */
export const coverageFactor = (coverage: number, dof: number): number =>
  tQuantile((1 + coverage) / 2, Math.min(dof, AS_GOOD_AS_INFINITE));
