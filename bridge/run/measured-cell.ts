import type { ResolvedNull } from './resolved-null.ts';

/**
 * The cell whose internal resistance a run measures: the one most often loaded, else the one balanced most often. Null where
 * no null names a cell: with one cell on the bench there may be no two-way key, and nothing to say.
 */
export function measuredCell(nulls: readonly ResolvedNull[]): number | null {
  const standing = nulls.filter((nullPoint) => nullPoint.rejected === null);
  const loaded = standing.filter((nullPoint) => nullPoint.labels.load);
  return mostNamed(loaded) ?? mostNamed(standing);
}

function mostNamed(nulls: readonly ResolvedNull[]): number | null {
  const named = (cell: number) => nulls.filter((nullPoint) => nullPoint.labels.cell === cell).length;
  if (named(1) === 0 && named(2) === 0) return null;
  return named(2) > named(1) ? 2 : 1;
}
