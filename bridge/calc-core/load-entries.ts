import type { LoadSet } from './balancing-length.ts';
import type { Effect } from './effects.ts';
import type { NamedLength } from './length-effects.ts';
import { message } from './messages.ts';

/** The sets of an internal-resistance run with names for their inputs: one open length may serve several loads of a set. */

export interface LoadEntry {
  set: LoadSet;
  /** Tells the entry from others: `2`, or `2_1` and `2_2` where set 2 has two loads. */
  label: string;
  /** Which inputs its l0, l and R are. */
  l0At: number;
  lAt: number;
  loadAt: number;
}

export interface LoadInputs {
  entries: LoadEntry[];
  /** Inputs of the model: all lengths, then the loads. */
  lengths: NamedLength[];
  loadsOhm: number[];
}

export const sizeOf = ({ lengths, loadsOhm }: LoadInputs): number => lengths.length + loadsOhm.length;

export function loadInputs(sets: readonly LoadSet[]): LoadInputs {
  const lengths: NamedLength[] = [];
  const loadsOhm = [...new Set(sets.map((set) => set.loadOhm))];
  const labels = labelsOf(sets);
  const indexes = sets.map((set, index) => {
    const shared = sets.findIndex((other) => other.set === set.set && other.l0 === set.l0);
    const l0At =
      shared < index ? -1 : lengths.push(named(set, set.l0, 'l0', labelOfOpen(sets, index, labels))) - 1;
    return { shared, l0At, lAt: lengths.push(named(set, set.l, 'l', labels[index])) - 1 };
  });
  const entries = sets.map((set, index) => ({
    set,
    label: labels[index],
    l0At: indexes[indexes[index].shared].l0At,
    lAt: indexes[index].lAt,
    loadAt: lengths.length + loadsOhm.indexOf(set.loadOhm),
  }));
  return { entries, lengths, loadsOhm };
}

function labelsOf(sets: readonly LoadSet[]): string[] {
  return sets.map((set) => {
    const same = sets.filter((other) => other.set === set.set);
    return same.length === 1 ? `${set.set}` : `${set.set}_${same.indexOf(set) + 1}`;
  });
}

/** An open length that the whole set shares is named after the set. */
const labelOfOpen = (sets: readonly LoadSet[], index: number, labels: readonly string[]): string => {
  const same = sets.filter((other) => other.set === sets[index].set);
  return same.every((other) => other.l0 === same[0].l0) ? `${sets[index].set}` : labels[index];
};

const named = (
  set: LoadSet,
  length: NamedLength['length'],
  symbol: 'l0' | 'l',
  label: string,
): NamedLength => ({
  symbol: `${symbol}_${label}`,
  meaning:
    symbol === 'l0'
      ? message('row-open-length', { set: set.set })
      : message('row-loaded-length', { ohm: set.loadOhm, set: set.set }),
  length,
  cell: 1,
  driverMa: set.driverMa,
});

/** The same load in several sets is the same resistor: one error for all of them. */
export function loadEffects(inputs: LoadInputs): Effect[] {
  return inputs.loadsOhm.map((loadOhm, index) => {
    const users = inputs.entries.filter(({ set }) => set.loadOhm === loadOhm);
    const u = Math.max(...users.map(({ set }) => set.uLoadOhm ?? 0));
    const column = new Array<number>(sizeOf(inputs)).fill(0);
    column[inputs.lengths.length + index] = u;
    return {
      symbol: `R_${index + 1}`,
      meaning: message('row-load', { ohm: loadOhm }),
      estimate: loadOhm,
      unit: 'ohm',
      standardUncertainty: u,
      distribution: 'normal',
      dof: Number.POSITIVE_INFINITY,
      columns: [column],
    };
  });
}
