import { fillGaps } from './assumed-sizes.ts';
import { inputCovariance } from './averaged-outcome.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { comparisonTask } from './comparison-model.ts';
import { columnsOf } from './effects.ts';
import { randomDraws } from './random-draws.ts';
import { scaledEffects } from './scaled-effects.ts';

/** The same sets as they might have been read on so many benches that are as stated, or ordinary: seeded, so the same each time. */
export function drawnSets(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  runs: number,
): ComparisonSet[][] {
  const full = fillGaps(bench);
  const task = comparisonTask(sets, full, { quantity: { quantity: 'E1/E2', unit: '1' }, factor: null });
  const scaled = scaledEffects(task.lengths, full);
  const columns =
    columnsOf(inputCovariance(task, scaled, { factors: scaled.map(() => 1), probability: 1 })) ?? [];
  return Array.from({ length: runs }, (_, run) => {
    const { normal } = randomDraws(run + 1);
    const sizes = columns.map(() => normal());
    const off = (at: number) => columns.reduce((sum, column, which) => sum + sizes[which] * column[at], 0);
    return sets.map((set, index) => ({
      ...set,
      l1: { ...set.l1, lengthCm: set.l1.lengthCm + off(2 * index) },
      l2: { ...set.l2, lengthCm: set.l2.lengthCm + off(2 * index + 1) },
    }));
  });
}
