import { NormalEquations } from '../detect/estimate/least-squares.ts';
import type { LagCost } from '../detect/lag.ts';
import { leastAtMs } from '../detect/lag.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import { rootAt } from './resolve-nulls.ts';
import type { MeanCurrent } from './set-current.ts';
import { byAmmeter, currentOf, PLAY_CM, placeSpreadCm } from './set-current.ts';

/**
 * What the scatter of nulls of one place says of the lag: passes in both directions, and taps, agree only at
 * the true one. Where they agree at none, by more than chance, the scatter counts for less by as much.
 */
export function scatterCost(nulls: readonly ResolvedNull[], correlationCm: number): LagCost {
  const groups = samePlace(nulls);
  const freedom = groups.reduce((sum, group) => sum + group.length - 1, 0);
  if (freedom === 0) return () => 0;
  const raw: LagCost = (lagMs) => groups.reduce((sum, group) => sum + spread(group, lagMs, correlationCm), 0);
  const least = raw(leastAtMs(raw));
  return (lagMs) => raw(lagMs) / Math.max(1, least / freedom);
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

/** Chi-square of the group's places about one place and one rate of drift, the rate held by what the ammeter leaves open. */
function spread(group: readonly ResolvedNull[], lagMs: number, correlationCm: number): number {
  const current = currentOf(group);
  const equations = new NormalEquations(2);
  const origin = placeAt(group[0], lagMs, current);
  const drifted = placeSpreadCm(group, correlationCm);
  for (const null_ of group) {
    const drift = (null_.lengthCm ?? 0) * current.priorPerS * (null_.tS - current.atS);
    const variance = null_.ownVarianceCm2 + PLAY_CM ** 2 + drifted ** 2;
    equations.add([1, null_.sense * drift], placeAt(null_, lagMs, current) - origin, 1 / variance);
  }
  equations.addPrior(1, 0, 1);
  return equations.solve()?.residualSquares ?? 0;
}

/** Place on the scale in cm at a trial lag, brought to the group's mean driver current. */
function placeAt(null_: ResolvedNull, lagMs: number, current: MeanCurrent): number {
  if (null_.found.by === 'eye') return null_.scaleCm;
  const byDrift = byAmmeter(null_, current) - (null_.lengthCm ?? 0);
  return rootAt(null_.found.found.fit, lagMs) + null_.sense * byDrift;
}
