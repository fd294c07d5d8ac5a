import type { Chance } from './chance.ts';
import type { Cell } from './design.ts';

/** What a tired student does once in a run. */
export type BlunderKind = 'misread 5 mm' | 'misread 1 cm' | 'wrong row' | 'digits swapped' | 'set disturbed';

export const BLUNDERS: readonly BlunderKind[] = [
  'misread 5 mm',
  'misread 1 cm',
  'wrong row',
  'digits swapped',
  'set disturbed',
];

/** A null as it is written down. */
export interface Written {
  set: number;
  cell: Cell;
  row: number;
  scaleCm: number;
  /** What an unseen change of the driver current makes of the length. */
  stretched: number;
}

const swapped = (scaleCm: number): number => {
  const [tens, units] = [Math.floor(scaleCm / 10) % 10, Math.floor(scaleCm) % 10];
  return scaleCm + 9 * (units - tens);
};

/** The same nulls with one thing wrong. */
export function withBlunder<One extends Written>(
  nulls: readonly One[],
  kind: BlunderKind,
  rows: number,
  chance: Chance,
): One[] {
  const at = Math.floor(chance.uniform() * nulls.length);
  const sign = chance.sign();
  const hit = nulls[at];
  if (kind === 'set disturbed') {
    const stretched = 1 + sign * chance.logBetween(0.002, 0.01);
    return nulls.map((one) => (one.set === hit.set && one.cell === hit.cell ? { ...one, stretched } : one));
  }
  return nulls.map((one, index) => (index === at ? written(one, kind, rows, sign) : one));
}

function written<One extends Written>(one: One, kind: BlunderKind, rows: number, sign: 1 | -1): One {
  switch (kind) {
    case 'misread 5 mm':
      return { ...one, scaleCm: one.scaleCm + sign * 0.5 };
    case 'misread 1 cm':
      return { ...one, scaleCm: one.scaleCm + sign };
    case 'wrong row': {
      const row = one.row + sign;
      return { ...one, row: row < 1 || row > rows ? one.row - sign : row };
    }
    default: {
      const scaleCm = swapped(one.scaleCm);
      return { ...one, scaleCm: scaleCm === one.scaleCm ? one.scaleCm + sign * 10 : scaleCm };
    }
  }
}
