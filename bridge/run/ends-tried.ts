import { deflectionMaps, type MapPoint } from './findings/deflection-map.ts';
import type { RunFold } from './fold.ts';
import type { EndsTriedView } from './view.ts';

/** A touch within this share of the wire from its end tries that end. */
const END_SHARE = 0.2;

/** Which ends of the wire have been touched with which cell: what the connection check needs to see. */
export function endsTried(fold: RunFold): EndsTriedView[] {
  const tried = new Map<number, EndsTriedView>();
  for (const { cell, points, wireCm } of deflectionMaps(fold)) {
    const ends = tried.get(cell) ?? { cell, a: false, b: false };
    const at = (share: (point: MapPoint) => number) => points.some((point) => share(point) < END_SHARE);
    ends.a ||= at((point) => point.lengthCm / wireCm);
    ends.b ||= at((point) => 1 - point.lengthCm / wireCm);
    tried.set(cell, ends);
  }
  return [...tried.values()];
}
