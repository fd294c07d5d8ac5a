/** Middle value, of an even number the mean of the middle two; NaN of none. */
export function median(values: ArrayLike<number>): number {
  const sorted = new Float64Array(values).sort();
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** Middle value, of an even number the lower of the middle two: for values that trouble makes larger, and only larger. */
export function lowerMedian(values: ArrayLike<number>): number {
  return new Float64Array(values).sort()[(values.length - 1) >> 1];
}
