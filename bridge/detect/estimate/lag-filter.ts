/**
 * Lag of the current behind the jockey, as a single-pole filter (an RC low-pass before the converter; common
 * practice). Since current is nearly straight in length, a lagging current at place x is the current at the
 * lagging place: the same filter applied to the position. That keeps the fit linear at each trial lag.
 */

/** Trial lags in milliseconds. Between them the results are interpolated. */
export const LAG_GRID_MS = [0, 2, 4, 6, 8, 10, 13, 16, 20, 25, 30, 36, 43, 51, 60, 72, 86, 100];

/** Sampling jitter of microseconds changes nothing that a lag of milliseconds would show. */
const JITTER_S = 2e-5;

/**
 * Position after a single-pole filter of time constant `lagS`, exact for a jockey that moves evenly from
 * sample to sample. It starts settled at the first position.
 */
export function laggedPosition(t: Float64Array, x: Float64Array, lagS: number, out: Float64Array): void {
  if (lagS <= 0) {
    out.set(x.subarray(0, out.length));
    return;
  }
  out[0] = x[0];
  let gapS = -1;
  let decay = 0;
  let ramp = 0;
  for (let index = 1; index < out.length; index += 1) {
    const gap = t[index] - t[index - 1];
    if (Math.abs(gap - gapS) > JITTER_S) {
      gapS = gap;
      decay = Math.exp(-gap / lagS);
      ramp = 1 - ((1 - decay) * lagS) / gap;
    }
    out[index] = decay * out[index - 1] + (1 - decay) * x[index - 1] + ramp * (x[index] - x[index - 1]);
  }
}
