/** One pass of the jockey over the wire: contact held, one direction, nothing switched. */
export interface Pass {
  /**
   * Seconds of board time, position on the metre scale in cm, galvanometer counts. They begin with a short
   * lead-in before the pass, so that a lagging current can be followed from a settled start.
   */
  t: Float64Array;
  x: Float64Array;
  y: Float64Array;
  saturated: Int8Array;
  /** Index at which the pass itself begins. */
  start: number;
  /** Indices of the samples that may be fitted: in the pass, unsaturated, settled after contact was made. */
  fitted: Int32Array;
  /** Both signs of current were seen, saturated samples counted. */
  signsDiffer: boolean;
}
