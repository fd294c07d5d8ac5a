/** Which stretch of the wire and which deflections a plot shows. Lengths in cm, currents in microamperes. */

export interface Range {
  min: number;
  max: number;
}

/** The smallest of 1, 2, 5 times a power of ten that holds `value`. */
export function roundUp(value: number): number {
  if (!(value > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(value));
  const factor = [1, 2, 5, 10].find((step) => step * power >= value * 0.9999);
  return (factor ?? 10) * power;
}

/** A range about zero that holds the values seen; grows at once, and shrinks only when far too wide. */
export function calmRange(seen: number, present: Range | null): Range {
  const wanted = roundUp(seen * 1.05);
  const keep = present !== null && present.max >= seen && present.max <= wanted * 2.5;
  return keep ? present : { min: -wanted, max: wanted };
}

/** A stretch about the null: wide enough for what was fitted and for where the jockey is to go. */
export function nearRange(centreCm: number, halfWidthCm: number, present: Range | null): Range {
  const half = roundUp(Math.max(1, halfWidthCm));
  if (present !== null && Math.abs((present.min + present.max) / 2 - centreCm) < half / 4) {
    const width = present.max - present.min;
    if (width >= half * 1.6 && width <= half * 4) return present;
  }
  const centre = Math.round(centreCm);
  return { min: centre - half, max: centre + half };
}
