import type { Bench } from './bench-file.ts';

/** Scale reading in cm of position counts: straight lines between the points, the outer ones prolonged. */
export type PositionScale = (counts: number) => number;

export function positionScale(position: NonNullable<Bench['position']>): PositionScale {
  const points = [...position.points].sort((a, b) => a.counts - b.counts);
  const last = points.length - 2;
  return (counts) => {
    let piece = 0;
    while (piece < last && counts > points[piece + 1].counts) piece += 1;
    const from = points[piece];
    const to = points[piece + 1];
    return from.scaleCm + ((counts - from.counts) * (to.scaleCm - from.scaleCm)) / (to.counts - from.counts);
  };
}

/** Centimetres per count near `counts`, without sign: what one step of the converter is worth. */
export const positionStepCm = (scale: PositionScale, counts: number): number =>
  Math.abs(scale(counts + 0.5) - scale(counts - 0.5));

/** Galvanometer current in microamperes; `zeroCounts` is the zero in force, which may not be the bench file's. */
export const galvanometerUa = (bench: Bench, counts: number, zeroCounts: number): number =>
  (counts - zeroCounts) * bench.galvanometer.microampsPerCount;

/** Driver current in milliamperes, zero correction added; null where the bench file has no scale for it. */
export function driverMa(bench: Bench, counts: number): number | null {
  const ammeter = bench.ammeter;
  if (ammeter?.milliampsPerCount === undefined) return null;
  return (counts - ammeter.zeroCounts) * ammeter.milliampsPerCount + ammeter.zeroCorrectionMa;
}

/** An ammeter reading by eye with the zero correction added, in milliamperes. */
export const correctedAmmeterMa = (bench: Bench, readingMa: number): number =>
  readingMa + (bench.ammeter?.zeroCorrectionMa ?? 0);
