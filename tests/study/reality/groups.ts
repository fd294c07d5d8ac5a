import type { Trial } from './trial.ts';

/** Trials of a scene parted by how the run was made, to see where a figure comes from. */

const band = (value: number, edges: readonly number[], unit: string): string => {
  const at = edges.findIndex((edge) => value <= edge);
  return at === -1 ? `more than ${edges[edges.length - 1]} ${unit}` : `up to ${edges[at]} ${unit}`;
};

const GROUPS: Readonly<Record<string, (trial: Trial) => string>> = {
  sets: ({ reality }) => band(reality.design.sets, [1, 2, 4, 6], 'sets'),
  minutes: ({ reality }) => band(reality.design.minutes, [4, 15, 40], 'min'),
  statement: ({ reality }) => reality.statement,
  order: ({ reality }) => reality.design.order,
  eye: ({ reality }) => (reality.design.byEye ? 'by eye' : 'by sensor'),
  end: ({ reality }) => band(Math.abs(reality.endCm), [0.1, 0.3, 1, 3], 'cm'),
  blunder: ({ reality }) => reality.blunder ?? (reality.jumped ? 'jump' : 'none'),
};

export function groupings(trials: readonly Trial[], by: string | undefined): [string, Trial[]][] {
  const nameOf = by === undefined ? undefined : GROUPS[by];
  if (nameOf === undefined) return [];
  const groups = new Map<string, Trial[]>();
  for (const trial of trials) {
    const name = nameOf(trial);
    groups.set(name, [...(groups.get(name) ?? []), trial]);
  }
  return [...groups].sort(([a], [b]) => a.localeCompare(b));
}
