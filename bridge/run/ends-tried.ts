import type { DeflectionMap } from './findings/deflection-map.ts';
import { endsTouched } from './findings/deflection-map.ts';
import type { EndsTriedView } from './view.ts';

/** Which ends of the wire have been touched with which cell: what the connection check needs to see. */
export function endsTried(maps: readonly DeflectionMap[]): EndsTriedView[] {
  const tried = new Map<number, EndsTriedView>();
  for (const map of maps) {
    const { cell } = map;
    const before = tried.get(cell);
    const now = endsTouched(map);
    tried.set(cell, { cell, a: now.a || before?.a === true, b: now.b || before?.b === true });
  }
  return [...tried.values()];
}
