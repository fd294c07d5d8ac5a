import type { DeflectionMap, MapPoint } from '../deflection-map.ts';

/** Whether deflections of opposite sign lie side by side as only a broken wire makes them. */

/** A sound wire's current is nearly straight in length: a jump this much steeper than the rest is none of it. */
const STEEPER = 4;
/** Shares of the wire's length that the touches of one side must span to tell a trend. */
const LEAST_SPAN = 0.05;
/** Both ends of the span closer together than this share of the least distance that the circuit allows. */
const TOO_CLOSE = 0.4;

/** @param at index of the first point beyond the change of sign, points in order of length */
export function wireJumps(map: DeflectionMap, points: MapPoint[], at: number): boolean {
  const [before, after] = [points[at - 1], points[at]];
  if (before.protect !== after.protect) return false;
  if (before.saturated && after.saturated) return closerThanPossible(map, before, after);
  return !before.saturated && !after.saturated && steeperThanSides(map, points, at);
}

function steeperThanSides(map: DeflectionMap, points: MapPoint[], at: number): boolean {
  const like = (point: MapPoint) => !point.saturated && point.protect === points[at].protect;
  const sides = [points.slice(0, at).filter(like), points.slice(at).filter(like)];
  const slopes = sides.map((side) => slopeOf(side, LEAST_SPAN * map.wireCm));
  const jump = slopeOf([points[at - 1], points[at]], 0);
  return slopes.every(
    (slope) => slope !== null && jump !== null && Math.abs(jump) > STEEPER * Math.abs(slope),
  );
}

/** From the first point of a side to its last, in microamperes per cm; null where they lie too close together. */
function slopeOf(side: MapPoint[], leastCm: number): number | null {
  const [first, last] = [side[0], side[side.length - 1]];
  if (first === undefined || !(last.lengthCm - first.lengthCm > leastCm)) return null;
  return (last.sign * last.sizeUa - first.sign * first.sizeUa) / (last.lengthCm - first.lengthCm);
}

/** Even the driver's whole EMF along the wire can't take the current from one end of its span to the other so soon. */
function closerThanPossible(map: DeflectionMap, before: MapPoint, after: MapPoint): boolean {
  const { bench } = map;
  const protectOhm = before.protect ? bench.protectiveResistanceOhm : 0;
  if (bench.driver === undefined || protectOhm === undefined) return false;
  const spanV = 1e-6 * (before.sizeUa + after.sizeUa) * (bench.galvanometer.resistanceOhm + protectOhm);
  const leastCm = (spanV * map.wireCm) / bench.driver.emfV;
  return after.lengthCm - before.lengthCm < TOO_CLOSE * leastCm;
}
