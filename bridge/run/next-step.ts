import { placeOnWire, wireLengthCm } from '../bench/geometry.ts';
import { isReference, statedEmfV } from '../bench/stated-emf.ts';
import type { Message } from '../calc-core/message.ts';
import type { ComparisonSetView, FindingCode, RunView } from './view.ts';

/**
 * The next thing to do at the bench, as a code with its values; the page puts it into a sentence.
 * A pure function of the run's view. `say`: the board does not sense it, so that it has to be said, too.
 */
export type NextStep =
  | { do: 'wait-for-board' }
  | { do: 'mend-link' }
  | { do: 'give-bench' }
  | ({ do: 'put-right'; finding: FindingCode } & Message)
  | { do: 'close-key' }
  | { do: 'choose-cell'; cell: number; set: number; say: boolean }
  | { do: 'read-voltages' }
  | {
      do: 'tap-end';
      cell: number;
      end: 'A' | 'B';
      protect: boolean;
      say: boolean;
      row: number;
      scaleCm: number;
    }
  | { do: 'protect-in'; say: boolean }
  | { do: 'say-row' }
  | { do: 'hunt'; cell: number; row: number | null; scaleCm: number | null; lengthCm: number | null }
  | { do: 'hunt-by-eye'; cell: number; row: number | null; scaleCm: number | null; say: boolean }
  | { do: 'protect-out'; row: number; scaleCm: number; lengthCm: number; say: boolean }
  | { do: 'sweep'; row: number; scaleCm: number; lengthCm: number }
  | { do: 'foretell'; cell: number }
  | { do: 'tap-beside'; cell: number; row: number; scaleCm: number; lengthCm: number }
  | { do: 'change-rheostat'; set: number; towardMa: number | null; byItself: boolean }
  | { do: 'type-length'; cell: number; row: number | null; scaleCm: number | null }
  | { do: 'load'; in: boolean; ohm: number | null }
  | { do: 'say-load' }
  | { do: 'change-load'; set: number }
  | { do: 'finish' };

/** Sets after which the result is worth closing; more are welcome. */
const ENOUGH_SETS = 4;

type Step = (view: RunView) => NextStep | null;

const link: Step = (view) => {
  if (view.linkUp === false) return { do: 'mend-link' };
  if (view.board === null) return { do: 'wait-for-board' };
  return view.bench === null ? { do: 'give-bench' } : null;
};

const fault: Step = (view) => {
  const set = view.labels.set.value;
  const cell = view.labels.cell.value;
  const stop = view.findings.find(
    (finding) =>
      finding.severity === 'stop' &&
      (finding.set ?? set) === set &&
      (finding.cell === undefined || finding.cell === cell),
  );
  if (stop === undefined) return null;
  const { code: finding, text, descriptor } = stop;
  return { do: 'put-right', finding, text, descriptor };
};

const key: Step = (view) => (view.keyOpen === true ? { do: 'close-key' } : null);

const mustSay = (view: RunView, label: 'cell' | 'protect'): boolean => view.labels[label].from !== 'board';

const protectIn = (view: RunView): NextStep => ({ do: 'protect-in', say: mustSay(view, 'protect') });

const protectOut = (view: RunView, place: { row: number; scaleCm: number; lengthCm: number }): NextStep => ({
  do: 'protect-out',
  ...place,
  say: mustSay(view, 'protect'),
});

const hasPosition = (view: RunView): boolean => view.board?.channels.includes('pos') === true;

const fineNullOf = (view: RunView, cell: number): boolean =>
  view.nulls.some(
    (found) => found.used && found.fine && found.cell === cell && found.set === view.labels.set.value,
  );

/** Of an internal-resistance run: the set's null with a load of known resistance across the cell, or without a load. */
const nullWithLoad = (view: RunView, load: boolean): boolean =>
  view.nulls.some(
    (found) =>
      found.used &&
      found.fine &&
      found.load === load &&
      (!load || found.loadOhm !== null) &&
      found.set === view.labels.set.value,
  );

/** The cell on open circuit first, then loaded; another load for another set. */
const load: Step = (view) => {
  const { work } = view;
  if (work.procedure !== 'internal-resistance') return null;
  const wanted = nullWithLoad(view, false);
  if (wanted && nullWithLoad(view, true)) {
    const done = work.sets.filter((set) => set.rOhm !== null).length;
    return done >= ENOUGH_SETS ? { do: 'finish' } : { do: 'change-load', set: view.labels.set.value + 1 };
  }
  const { value, ohm } = view.labels.load;
  // Before the null: a null keeps the load that was named before it.
  if (wanted && ohm === null) return { do: 'say-load' };
  return value === wanted ? null : { do: 'load', in: wanted, ohm };
};

const setDone: Step = (view) => {
  const { work } = view;
  if (work.procedure !== 'emf-comparison') return null;
  if (![1, 2].every((cell) => fineNullOf(view, cell))) return null;
  const done = work.sets.filter((set) => set.ratio !== null).length;
  if (done >= ENOUGH_SETS) return { do: 'finish' };
  // Where the driver current is measured its change begins a set, unless somebody has begun one by word.
  const byItself = view.labels.set.from === 'board';
  return {
    do: 'change-rheostat',
    set: view.labels.set.value + 1,
    towardMa: nextDriverMa(view, work.sets),
    byItself,
  };
};

/** Shares of the wire on which the longer balancing length is best spread: long for the ratio, apart for the end correction. */
const SHARES = [0.95, 0.55, 0.8, 0.67];

/** The driver current that puts the longer null where none lies yet; lengths go as 1/I. Null where it can't be told. */
function nextDriverMa(view: RunView, sets: readonly ComparisonSetView[]): number | null {
  if (view.bench === null) return null;
  const wireCm = wireLengthCm(view.bench.wire);
  const seen = sets.flatMap(({ driverMa, l1Cm, l2Cm }) => {
    const lengthCm = Math.max(l1Cm ?? 0, l2Cm ?? 0);
    return driverMa === null || lengthCm === 0 ? [] : [{ share: lengthCm / wireCm, ma: driverMa }];
  });
  if (seen.length === 0) return null;
  const apart = (share: number) => Math.min(...seen.map((one) => Math.abs(one.share - share)));
  const share = SHARES.reduce((best, one) => (apart(one) > apart(best) ? one : best));
  return (seen[0].ma * seen[0].share) / share;
}

const isReferenceOf = (view: RunView, cell: number): boolean =>
  view.bench !== null && isReference(view.bench, cell);

const chooseCell: Step = (view) => {
  if (view.work.procedure !== 'emf-comparison') return null;
  const set = view.labels.set.value;
  const present = view.labels.cell.value;
  const wanted = [1, 2].filter((cell) => !fineNullOf(view, cell));
  // The ordinary cell shows that all is rightly connected, and its null foretells that of the reference cell.
  const first = wanted.find((cell) => !isReferenceOf(view, cell)) ?? wanted[0];
  const inTurn = present === first || (present !== null && !isReferenceOf(view, present));
  if (present !== null && wanted.includes(present) && inTurn) return null;
  return { do: 'choose-cell', cell: first, set, say: mustSay(view, 'cell') };
};

/** Both ends, once for each cell, before its first null: opposite deflections say that all is rightly connected. */
const tapEnds: Step = (view) => {
  const cell = view.labels.cell.value ?? 1;
  // Where the jockey's place is not known, neither is which end it tapped: that is done by eye, while hunting.
  if (view.bench === null || isReference(view.bench, cell) || !hasPosition(view)) return null;
  if (view.nulls.some((found) => found.cell === cell)) return null;
  const { wire } = view.bench;
  const tried = view.endsTried.find((ends) => ends.cell === cell);
  const protect = view.labels.protect.value;
  const tap = { do: 'tap-end', cell, protect, say: mustSay(view, 'protect') } as const;
  if (tried?.a !== true) return { ...tap, end: 'A', ...placeOnWire(wire, 0) };
  return tried.b ? null : { ...tap, end: 'B', ...placeOnWire(wire, wireLengthCm(wire)) };
};

/** A board without a position sensor: whoever finds the null reads the scale and types the length. */
const byEye: Step = (view) => {
  const cell = view.labels.cell.value ?? 1;
  const { protect, load } = view.labels;
  if (view.board === null || hasPosition(view) || (protect.value && isReferenceOf(view, cell))) return null;
  const { row, scaleCm } = view.guidance ?? { row: null, scaleCm: null };
  if (protect.value) return { do: 'hunt-by-eye', cell, row, scaleCm, say: mustSay(view, 'protect') };
  const near = view.guidance?.basis === 'earlier-sets';
  const hunted = view.nulls.some((found) => found.cell === cell && found.load === load.value);
  if (!near && !hunted && protect.from === 'unknown') return protectIn(view);
  return { do: 'type-length', cell, row, scaleCm };
};

const findNull: Step = (view) => {
  const cell = view.labels.cell.value ?? 1;
  const guide = view.guidance;
  const protect = view.labels.protect.value;
  if (view.labels.row.value === null) return { do: 'say-row' };
  if (isReferenceOf(view, cell)) return findReferenceNull(view, cell);
  if (guide === null) {
    return protect ? { do: 'hunt', cell, row: null, scaleCm: null, lengthCm: null } : protectIn(view);
  }
  const place = { row: guide.row, scaleCm: guide.scaleCm, lengthCm: guide.lengthCm };
  const near = guide.basis === 'coarse-null' || guide.basis === 'earlier-sets';
  const { set, load } = view.labels;
  const seen = view.nulls.some(
    (found) => found.cell === cell && found.set === set.value && found.load === load.value,
  );
  if (!protect)
    return near || seen || guide.basis === 'readings' ? { do: 'sweep', ...place } : protectIn(view);
  return near || seen ? protectOut(view, place) : { do: 'hunt', cell, ...place };
};

/** Started where the null is foretold, protective resistance in; then tapped, never swept. */
function findReferenceNull(view: RunView, cell: number): NextStep {
  const { guidance, labels } = view;
  if (guidance === null) return { do: 'foretell', cell };
  const place = { row: guidance.row, scaleCm: guidance.scaleCm, lengthCm: guidance.lengthCm };
  const seen = view.nulls.some((found) => found.cell === cell && found.set === labels.set.value);
  if (labels.protect.value) return seen ? protectOut(view, place) : { do: 'hunt', cell, ...place };
  return seen ? { do: 'tap-beside', cell, ...place } : protectIn(view);
}

/** Before anything is touched: the driver must read more than either cell, and what they read guides the hunt. */
const readVoltages: Step = (view) => {
  const { bench } = view;
  const begun = view.nulls.length > 0 || view.endsTried.length > 0;
  if (bench === null || begun) return null;
  const wanted = view.work.procedure === 'emf-comparison' ? [1, 2] : [1];
  const known = bench.driver !== undefined && wanted.every((cell) => statedEmfV(bench, cell) !== undefined);
  return known ? null : { do: 'read-voltages' };
};

const steps: Step[] = [link, readVoltages, fault, setDone, key, load, chooseCell, tapEnds, byEye, findNull];

export function nextStep(view: RunView): NextStep {
  for (const step of steps) {
    const next = step(view);
    if (next !== null) return next;
  }
  return { do: 'finish' };
}
