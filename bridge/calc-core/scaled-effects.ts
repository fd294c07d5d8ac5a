import type { Assumable, FullKnowledge } from './assumed-sizes.ts';
import type { ScaledEffect, SizeScenario, Slip } from './averaged-problem.ts';
import type { BalancingLength } from './balancing-length.ts';
import { columnAt } from './effects.ts';
import type { NamedLength } from './length-effects.ts';

/** Effects whose size on this bench nobody knows for sure: the wire's evenness and the cells' steadiness; and slips. */

/** A size as a factor on the one that is stated or ordinary. */
interface Size {
  factor: number;
  probability: number;
}

/** Prior of a size that a bench file states. A standard uncertainty is itself known to a factor of two at best, and somebody may be wrong. */
const STATED_SIZES: readonly Size[] = [
  { factor: 1, probability: 0.68 },
  { factor: 2, probability: 0.25 },
  { factor: 6, probability: 0.05 },
  { factor: 20, probability: 0.02 },
];
/** From here on a statement is contradicted. */
export const CONTRADICTED = 6;
/** Prior of sizes that nobody stated: benches that nobody has measured are rather worse than ordinary; about log-normal, a factor of three. */
const WIRE_SIZES: readonly Size[] = [
  { factor: 0.4, probability: 0.08 },
  { factor: 1, probability: 0.22 },
  { factor: 2.5, probability: 0.36 },
  { factor: 6, probability: 0.22 },
  { factor: 15, probability: 0.12 },
];
/** A wire is good or bad in both ways, or mostly in one. */
const WIRE_KINDS = [
  { walk: 1, rows: 1, probability: 0.5 },
  { walk: 1, rows: 0.25, probability: 0.25 },
  { walk: 0.25, rows: 1, probability: 0.25 },
];
const CELL_SIZES: readonly Size[] = [
  { factor: 0.3, probability: 0.33 },
  { factor: 1.5, probability: 0.37 },
  { factor: 8, probability: 0.21 },
  { factor: 40, probability: 0.09 },
];

/** The combinations of sizes of walk, rows and cells, in this order. */
export function sizeScenarios(bench: FullKnowledge): SizeScenario[] {
  const cells = sizesOf(bench, 'steadyRelativePerMin', CELL_SIZES);
  return wireScenarios(bench).flatMap(({ factors, probability }) =>
    cells.map((cell) => ({
      factors: [...factors, cell.factor],
      probability: probability * cell.probability,
    })),
  );
}

function wireScenarios(bench: FullKnowledge): SizeScenario[] {
  if (bench.assumed.has('uniformityRelative') && bench.assumed.has('rowSpreadRelative')) {
    return WIRE_SIZES.flatMap(({ factor, probability }) =>
      WIRE_KINDS.map(({ walk, rows, probability: ofKind }) => ({
        factors: [factor * walk, factor * rows],
        probability: probability * ofKind,
      })),
    );
  }
  return sizesOf(bench, 'uniformityRelative', WIRE_SIZES).flatMap((walk) =>
    sizesOf(bench, 'rowSpreadRelative', WIRE_SIZES).map((rows) => ({
      factors: [walk.factor, rows.factor],
      probability: walk.probability * rows.probability,
    })),
  );
}

const sizesOf = (bench: FullKnowledge, stated: Assumable, assumed: readonly Size[]): readonly Size[] =>
  bench.assumed.has(stated) ? assumed : STATED_SIZES;

export type ScaledName = 'walk' | 'rows' | 'cells';

export interface NamedScaled extends ScaledEffect {
  name: ScaledName;
  /** What the bench file calls it. */
  stated: Assumable;
}

/** In the order of `sizeScenarios`. */
export const scaledEffects = (lengths: readonly NamedLength[], bench: FullKnowledge): NamedScaled[] => [
  walk(lengths, bench),
  rows(lengths, bench),
  cells(lengths, bench),
];

/** A random walk along the wire: covariance u²·L·min(l, l'). */
function walk(lengths: readonly NamedLength[], bench: FullKnowledge): NamedScaled {
  const perCm = bench.uniformityRelative ** 2 * bench.wireLengthCm;
  return {
    name: 'walk',
    stated: 'uniformityRelative',
    covariance: overLengths(lengths, (a, b) => perCm * Math.min(a.lengthCm, b.lengthCm)),
  };
}

/** Each row a wire of its own: covariance s²·Σ m_r(l)·m_r(l'), m_r the part of row r below l. */
function rows(lengths: readonly NamedLength[], bench: FullKnowledge): NamedScaled {
  const variance = bench.rowSpreadRelative ** 2;
  return {
    name: 'rows',
    stated: 'rowSpreadRelative',
    covariance: overLengths(
      lengths,
      (a, b) => variance * sharedRows(a.lengthCm, b.lengthCm, bench.rowLengthCm),
    ),
  };
}

/** Σ over rows of the parts of each row below two lengths, multiplied. */
function sharedRows(a: number, b: number, rowLengthCm: number): number {
  const short = Math.min(a, b);
  const full = Math.floor(short / rowLengthCm);
  const rest = short - full * rowLengthCm;
  return full * rowLengthCm ** 2 + rest * Math.min(rowLengthCm, Math.max(a, b) - full * rowLengthCm);
}

/** The part of a row (from 1) that lies below a length, in cm. */
export const partOfRow = (row: number, lengthCm: number, rowLengthCm: number): number =>
  Math.min(rowLengthCm, Math.max(0, lengthCm - (row - 1) * rowLengthCm));

/** An EMF that changes does so faster at first, by this share of its steady change, and wanders besides as much as it changes in so many minutes. */
export const BEND = 0.5;
export const WANDER_MIN = 0.1;

/** Each cell's EMF drifts, bends and wanders; all are counted from its average over the run. */
function cells(lengths: readonly NamedLength[], bench: FullKnowledge): NamedScaled {
  const minutes = timesMin(lengths);
  const from = Math.min(...minutes);
  const span = Math.max(...minutes) - from;
  return {
    name: 'cells',
    stated: 'steadyRelativePerMin',
    covariance: (a, b) => {
      const [one, other] = [lengths[a], lengths[b]];
      if (one === undefined || other === undefined || one.cell !== other.cell) return 0;
      const rate = bench.steadyRelativePerMin[one.cell];
      return (
        one.length.lengthCm *
        other.length.lengthCm *
        rate ** 2 *
        change(minutes[a] - from, minutes[b] - from, span)
      );
    },
  };
}

/** Covariance in square minutes of an EMF's change at two times of a run, at a rate of 1 a minute. */
function change(s: number, t: number, span: number): number {
  if (span === 0) return 0;
  const [x, y] = [(2 * s) / span - 1, (2 * t) / span - 1];
  const bend = BEND ** 2 * (x * x - 1 / 3) * (y * y - 1 / 3);
  return (span / 2) ** 2 * (x * y + bend) + WANDER_MIN * wander(s, t, span);
}

/** Covariance of a Wiener process at two times after its start, each less its average over the span. */
const wander = (s: number, t: number, span: number): number =>
  Math.min(s, t) - s + s ** 2 / (2 * span) - t + t ** 2 / (2 * span) + span / 3;

/** Where nobody knows the times: a minute from one length to the next, in the order given. */
export const timesMin = (lengths: readonly NamedLength[]): number[] =>
  lengths.every(({ length }) => length.atS !== null)
    ? lengths.map(({ length }) => (length.atS ?? 0) / 60)
    : lengths.map((_, index) => index);

const overLengths =
  (lengths: readonly NamedLength[], between: (a: BalancingLength, b: BalancingLength) => number) =>
  (a: number, b: number): number =>
    a < lengths.length && b < lengths.length ? between(lengths[a].length, lengths[b].length) : 0;

/** Chance that one set has a length that was misread or disturbed, by how many cm (common practice, no source). */
const MISREAD = [
  { u: 0.5, probability: 0.01 },
  { u: 5, probability: 0.006 },
  { u: 120, probability: 0.004 },
];
/** Chance that a cell's EMF jumps in a run, and by what part (common practice, no source). */
const JUMP = [
  { u: 0.003, probability: 0.012 },
  { u: 0.02, probability: 0.006 },
];

export type NamedSlip = Slip & ({ name: 'set-off'; set: number } | { name: 'jump'; afterSet: number });

/** What a set is called, and which inputs its lengths are. */
interface NamedSet {
  set: number;
  upperAt: number;
  lowerAt: number;
}

/** None with one set: nothing would show a slip, and reckoned with it would be all of u and nothing of U. A finding says that nothing tests one set. */
export function slipsOf(
  sets: readonly NamedSet[],
  lengths: readonly NamedLength[],
  size: number,
): NamedSlip[] {
  if (sets.length < 2) return [];
  const misread = misreadable(sets).map(
    ({ set, at }): NamedSlip => ({
      name: 'set-off',
      set,
      column: columnAt(size, at, 1),
      sizes: MISREAD,
    }),
  );
  return [...misread, ...jumps(sets, lengths, size)];
}

/** One length stands for both of its set, for nobody could tell which was misread; where sets share their upper one, each has its own. */
const misreadable = (sets: readonly NamedSet[]): { set: number; at: number }[] =>
  sets.flatMap((one) => {
    const [first, ...others] = sets.filter(({ upperAt }) => upperAt === one.upperAt);
    const upper = { set: one.set, at: one.upperAt };
    if (others.length === 0) return [upper];
    const lower = { set: one.set, at: one.lowerAt };
    return first === one ? [upper, lower] : [lower];
  });

/** Between two sets, where in the gap a jump may lie: the average over the run depends on it. */
const MOMENTS = [0.15, 0.85];

/** The EMF of the upper lengths' cell jumps between two sets that follow in time; which cell it was the sets can't tell. */
function jumps(sets: readonly NamedSet[], lengths: readonly NamedLength[], size: number): NamedSlip[] {
  const minutes = timesMin(lengths);
  const ordered = sets.toSorted((a, b) => minutes[a.upperAt] - minutes[b.upperAt]);
  const first = Math.min(...minutes);
  const span = Math.max(...minutes) - first;
  if (!(span > 0)) return [];
  return ordered.slice(1).flatMap((later, index) =>
    MOMENTS.map((moment): NamedSlip => {
      const before = ordered[index];
      const atMin = minutes[before.upperAt] + moment * (minutes[later.upperAt] - minutes[before.upperAt]);
      const share = 1 - (atMin - first) / span;
      const column = new Array<number>(size).fill(0);
      for (const { upperAt } of sets) {
        column[upperAt] = lengths[upperAt].length.lengthCm * ((minutes[upperAt] > atMin ? 1 : 0) - share);
      }
      const sizes = JUMP.map(({ u, probability }) => ({
        u,
        probability: probability / (ordered.length - 1) / MOMENTS.length,
      }));
      return { name: 'jump', afterSet: before.set, column, sizes };
    }),
  );
}
