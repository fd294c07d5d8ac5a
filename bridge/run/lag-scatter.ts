import type { LagCost } from '../detect/lag.ts';
import { leastAtMs, quarticCost } from '../detect/lag.ts';
import type { ResolvedNull } from './resolved-null.ts';
import { rootAt } from './resolved-null.ts';
import { byAmmeter, currentOf, ownVarianceCm2, PLAY_CM, placeSpreadCm } from './set-current.ts';

/**
 * What the scatter of nulls of one place says of the lag: passes in both directions, and taps, agree only at
 * the true one. Where they agree at none, by more than chance, the scatter counts for less by as much.
 */
export function scatterCost(nulls: readonly ResolvedNull[], correlationCm: number): LagCost {
  const groups = samePlace(nulls);
  const freedom = groups.reduce((sum, group) => sum + group.length - 1, 0);
  if (freedom === 0) return () => 0;
  const spreads = groups.map((group) => spreadOf(group, correlationCm));
  const raw = quarticCost((lagMs) => spreads.reduce((sum, spread) => sum + spread(lagMs), 0));
  const least = raw(leastAtMs(raw));
  return (lagMs) => raw(lagMs) / Math.max(1, least / freedom);
}

/** Nulls of one set, cell and row with the same switches, at least two and one of them swept. */
function samePlace(nulls: readonly ResolvedNull[]): ResolvedNull[][] {
  const groups = new Map<string, ResolvedNull[]>();
  for (const nullPoint of nulls) {
    if (nullPoint.by === 'eye' || nullPoint.rejected !== null) continue;
    const { cell, row, protect, load } = nullPoint.labels;
    const key = [nullPoint.set, cell, row, protect, load].join();
    groups.set(key, [...(groups.get(key) ?? []), nullPoint]);
  }
  return [...groups.values()].filter(
    (group) => group.length > 1 && group.some((nullPoint) => nullPoint.by === 'sweep'),
  );
}

interface Point {
  /** Place on the scale in cm at a lag, brought to the group's mean driver current. */
  at: LagCost;
  weight: number;
  /** How far the place moves when the drift is off by its standard uncertainty, in cm. */
  driftCm: number;
}

/**
 * Chi-square of a group's places about one place and one rate of drift, the rate held by what the ammeter leaves
 * open. What does not depend on the lag is worked out once: the cost is asked for hundreds of times.
 */
function spreadOf(group: readonly ResolvedNull[], correlationCm: number): LagCost {
  const current = currentOf(group);
  const drifted = placeSpreadCm(group, correlationCm);
  const points = group.map((nullPoint): Point => {
    const byDrift = nullPoint.sense * (byAmmeter(nullPoint, current) - (nullPoint.lengthCm ?? 0));
    const { found } = nullPoint;
    const rest = (nullPoint.lengthCm ?? 0) * current.priorPerS * (nullPoint.tS - current.atS);
    return {
      at: (lagMs) => (found.by === 'eye' ? nullPoint.scaleCm : rootAt(found.found.fit, lagMs)) + byDrift,
      weight: 1 / (ownVarianceCm2(nullPoint) + PLAY_CM ** 2 + drifted ** 2),
      driftCm: nullPoint.sense * rest,
    };
  });
  return (lagMs) => chiSquareAt(points, lagMs);
}

/** Two unknowns, so in closed form; places are taken from the first one, which keeps the digits. */
function chiSquareAt(points: readonly Point[], lagMs: number): number {
  const origin = points[0].at(lagMs);
  let [w, wd, wdd, wx, wdx, wxx] = [0, 0, 1, 0, 0, 0];
  for (const { at, weight, driftCm } of points) {
    const x = at(lagMs) - origin;
    w += weight;
    wd += weight * driftCm;
    wdd += weight * driftCm * driftCm;
    wx += weight * x;
    wdx += weight * driftCm * x;
    wxx += weight * x * x;
  }
  const determinant = w * wdd - wd * wd;
  const place = (wx * wdd - wdx * wd) / determinant;
  const rate = (w * wdx - wd * wx) / determinant;
  return Math.max(0, wxx - place * wx - rate * wdx);
}
