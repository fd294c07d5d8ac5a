import type { Chance } from './chance.ts';

/** What is done at the bench: how many sets, in what order, at what currents, when, and how it is read. */

export type Cell = 1 | 2;

export interface Design {
  sets: number;
  /** Cells in the order in which they are taken in each set. */
  order: readonly Cell[];
  minutes: number;
  /** Time of each null in seconds, from the first on; a row a set. */
  timesS: readonly (readonly number[])[];
  emf: { 1: number; 2: number };
  /** Where the larger EMF would balance in each set, as share of the wire. */
  largerAt: readonly number[];
  byEye: boolean;
  /** Relative uncertainty with which the driver current is brought to the set's. */
  currentNoise: number;
}

/** What a scene fixes of it. */
export interface DesignLimits {
  sets?: readonly number[];
  orders?: readonly (readonly Cell[])[];
  minutes?: readonly [number, number];
  byEye?: boolean;
}

export const PLAIN: readonly Cell[] = [1, 2];
export const THERE_AND_BACK: readonly Cell[] = [1, 2, 2, 1];
export const ALTERNATING: readonly Cell[] = [1, 2, 1, 2];

const SETS = [1, 2, 2, 3, 4, 4, 5, 6, 8, 12];
/** Nobody takes a null faster, taps and a change of the key included, nor slower in one sitting. */
const LEAST_S = 10;
const MOST_S = 480;

export function drawDesign(limits: DesignLimits, chance: Chance): Design {
  const sets = chance.oneOf(limits.sets ?? SETS);
  const order = chance.oneOf(limits.orders ?? [PLAIN, PLAIN, THERE_AND_BACK, ALTERNATING]);
  const [least, most] = limits.minutes ?? [1, 90];
  const nulls = sets * order.length;
  const wanted = chance.logBetween(least, most);
  const minutes = Math.min(Math.max(wanted, (nulls * LEAST_S) / 60), (nulls * MOST_S) / 60);
  const ratio = 1 + chance.logBetween(0.02, 1);
  const larger = chance.between(1, 2.1);
  const emf = chance.yes(0.7) ? { 1: larger, 2: larger / ratio } : { 1: larger / ratio, 2: larger };
  return {
    sets,
    order,
    minutes,
    timesS: drawTimes(sets, order.length, minutes * 60, chance),
    emf,
    largerAt: drawPlaces(sets, chance),
    byEye: limits.byEye ?? chance.yes(0.2),
    currentNoise: chance.logBetween(5e-6, 3e-5),
  };
}

/** Evenly, with a hand's unevenness, and a longer pause between sets. */
function drawTimes(sets: number, each: number, runS: number, chance: Chance): number[][] {
  let t = 0;
  const rough = Array.from({ length: sets }, (_, set) =>
    Array.from({ length: each }, (_, index) => {
      if (set > 0 || index > 0) t += (index === 0 ? 1.6 : 1) * chance.between(0.6, 1.4);
      return t;
    }),
  );
  return rough.map((times) => times.map((time) => (time * runS) / t));
}

/** Currents spread widely or close together, from low to high or as it comes. */
function drawPlaces(sets: number, chance: Chance): number[] {
  const most = chance.between(0.8, 0.985);
  const spread = chance.yes(0.7) ? chance.between(0.2, 0.5) : chance.between(0.01, 0.08);
  const places = Array.from({ length: sets }, (_, set) => {
    const share = sets === 1 ? 0 : set / (sets - 1);
    return most - spread * Math.min(1, Math.max(0, share + (0.1 * chance.normal()) / sets));
  });
  return chance.yes(0.3) ? places.reverse() : places;
}
