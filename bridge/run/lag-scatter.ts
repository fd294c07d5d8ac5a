import { LAG_GRID_MS } from '../detect/estimate/lag-filter.ts';
import { driftCm, PLAY_CM } from './observations.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import { rootAt } from './resolve-nulls.ts';

/** Beyond this the scatter has other causes than the lag and must not outvote the passes' own fits. */
const MOST_COST = 50;

/**
 * What the scatter of nulls of one place says of the lag: passes in both directions, and taps, agree only at
 * the true one. Twice a negative log likelihood on the grid of lags.
 */
export function scatterCost(nulls: readonly ResolvedNull[]): Float64Array {
  const cost = new Float64Array(LAG_GRID_MS.length);
  for (const group of samePlace(nulls)) {
    LAG_GRID_MS.forEach((lagMs, at) => {
      cost[at] += spread(group, lagMs);
    });
  }
  const least = Math.min(...cost);
  return cost.map((value) => Math.min(MOST_COST, value - least));
}

/** Nulls of one set, cell and row with the same switches, at least two and one of them swept. */
function samePlace(nulls: readonly ResolvedNull[]): ResolvedNull[][] {
  const groups = new Map<string, ResolvedNull[]>();
  for (const null_ of nulls) {
    if (null_.by === 'eye' || null_.rejected !== null) continue;
    const { cell, row, protect, load } = null_.labels;
    const key = [null_.set, cell, row, protect, load].join();
    groups.set(key, [...(groups.get(key) ?? []), null_]);
  }
  return [...groups.values()].filter(
    (group) => group.length > 1 && group.some((null_) => null_.by === 'sweep'),
  );
}

/** Chi-square of the group's places about their weighted mean, each brought to the first one's driver current. */
function spread(group: readonly ResolvedNull[], lagMs: number): number {
  const reference = group[0].current?.mA ?? null;
  const points = group.map((null_) => ({
    x: placeAt(null_, lagMs, reference),
    variance: varianceOf(null_, group[0].tS),
  }));
  let weights = 0;
  let sum = 0;
  for (const point of points) {
    weights += 1 / point.variance;
    sum += point.x / point.variance;
  }
  const mean = sum / weights;
  return points.reduce((total, point) => total + (point.x - mean) ** 2 / point.variance, 0);
}

/** Place on the scale in cm at a trial lag; a length goes as one over the driver current. */
function placeAt(null_: ResolvedNull, lagMs: number, referenceMa: number | null): number {
  if (null_.found.by === 'eye') return null_.scaleCm;
  const place = rootAt(null_.found.found.fit, lagMs);
  if (null_.current === null || referenceMa === null || null_.lengthCm === null) return place;
  return place + null_.sense * null_.lengthCm * (null_.current.mA / referenceMa - 1);
}

const varianceOf = (null_: ResolvedNull, referenceS: number): number =>
  null_.ownVarianceCm2 + driftCm(null_, referenceS) ** 2 + PLAY_CM ** 2;
