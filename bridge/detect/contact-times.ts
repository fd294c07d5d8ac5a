/** Times that all of the detection goes by (common practice, no source). */

/** The blade bounces for so long after contact; contact lost for no longer is a bounce. */
export const BOUNCE_S = 0.03;

/** Samples missing for longer than this end a touch, and whatever else is followed from sample to sample. */
export const GAP_S = 0.2;
