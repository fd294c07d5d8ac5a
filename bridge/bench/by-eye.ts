/**
 * Standard uncertainty in cm of a place on the metre scale that is read by eye, where nobody states another: half a
 * millimetre (common practice, no source).
 */
export const BY_EYE_CM = 0.05;
