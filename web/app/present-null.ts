import type { NullView, SessionView } from '../../bridge/serve/page-protocol.ts';

/** The null that counts now: the newest of the present cell as it is, loaded or open; else of that cell, else of all. */
export function presentNull(view: SessionView): NullView | null {
  const { cell, load } = view.labels;
  const standing = view.nulls.filter((found) => found.rejected === null);
  const ofCell = standing.filter((found) => found.cell === cell.value);
  return ofCell.findLast((found) => found.load === load.value) ?? ofCell.at(-1) ?? standing.at(-1) ?? null;
}
