import { fixed, plusMinus, roundTogether } from '../calc-core/rounding.ts';
import { sameData } from '../run/remembering.ts';
import { driverText, setRows } from '../run/set-rows.ts';
import type { NullView } from '../run/view.ts';
import type { SessionView } from './page-protocol.ts';

/**
 * Every null moves zero and lag, and so all lengths before it, mostly by less than anybody sees. A page is not told again of nulls and
 * sets that say the same as before, so what one change costs need not grow with the run.
 */

/** `now`, with what `told` says of a null or a set wherever every digit that a page shows of it is the same. */
export const keepingDigits = (told: SessionView, now: SessionView): SessionView => {
  const nulls = now.nulls.map((one, at) => (sameDigits(told.nulls[at], one) ? told.nulls[at] : one));
  const same = told.work.procedure === now.work.procedure ? sameRows(told.work, now.work) : [];
  return { ...now, nulls, work: withSets(told.work, now.work, same) };
};

/** Each number the same wherever it moved by no more than a tenth of its uncertainty. */
export const keepingClose = (told: SessionView, now: SessionView): SessionView => {
  const nulls = now.nulls.map((one, index) => closeTo(told.nulls[index], one));
  const same = told.work.procedure === now.work.procedure ? told.work.sets : [];
  const sets = now.work.sets.map((set, index) => closeTo(same[index], set));
  return { ...now, nulls, work: { ...now.work, sets } as Work };
};

type Work = SessionView['work'];
type SetView = Work['sets'][number];

/** `after`, with the sets of `before` wherever they are the same. */
const withSets = (before: Work, after: Work, same: readonly boolean[]): Work =>
  ({ ...after, sets: after.sets.map((set, index) => (same[index] ? before.sets[index] : set)) }) as Work;

/** Numbers of a null that are shown rounded. */
const ROUNDED: ReadonlySet<string> = new Set<keyof NullView>([
  'scaleCm',
  'lengthCm',
  'broughtCm',
  'uCm',
  'uReadCm',
  'driverMa',
  'sensitivityUaPerMm',
  'smallestLengthCm',
]);

function sameDigits(before: NullView | undefined, after: NullView): boolean {
  if (before === undefined) return false;
  const others = Object.keys(after).filter((name) => !ROUNDED.has(name)) as (keyof NullView)[];
  return (
    others.every((name) => sameData(before[name], after[name])) &&
    sameData(nullTexts(before), nullTexts(after))
  );
}

/** A null as people see it, wherever it is shown. */
const nullTexts = (one: NullView): string[] => [
  plusMinus(one.lengthCm ?? one.scaleCm, one.uCm),
  plusMinus(one.lengthCm ?? one.scaleCm, one.uReadCm),
  plusMinus(one.broughtCm, one.uCm),
  roundTogether(one.scaleCm, one.uCm).value,
  fixed(one.lengthCm, 1),
  driverText(one.driverMa),
  fixed(one.sensitivityUaPerMm, 2),
  fixed(10 * one.smallestLengthCm, 2),
];

/** Which sets the table shows alike, and the plot by themselves; none where a column of old and new would have other decimals. */
function sameRows(before: Work, after: Work): boolean[] {
  const [old, wanted] = [setTexts(before), setTexts(after)];
  const same = wanted.map((row, index) => sameData(old[index], row));
  return sameData(setTexts(withSets(before, after, same)), wanted) ? same : [];
}

function setTexts(work: Work): unknown[] {
  const alone =
    work.procedure === 'emf-comparison'
      ? work.sets.map(({ ratio, uRatio }) => plusMinus(ratio, uRatio))
      : work.sets.map(({ rOhm, uROhm }) => plusMinus(rOhm, uROhm));
  return setRows(work).map((row, index) => [row, alone[index]]);
}

/** Each number with the uncertainty that says how far it may move unseen. */
const UNCERTAINTY_OF: Readonly<Record<string, string>> = {
  scaleCm: 'uReadCm',
  lengthCm: 'uReadCm',
  broughtCm: 'uReadCm',
  l1Cm: 'uRead1Cm',
  l2Cm: 'uRead2Cm',
  l0Cm: 'uRead0Cm',
  lCm: 'uReadCm',
  ratio: 'uRatio',
  rOhm: 'uROhm',
};
const CLOSE = 0.1;
/** What may not move by a tenth, or by a tenth of its uncertainty: a current by so little that no length shows it, what names or counts not at all. */
const CLOSE_SHARE: Readonly<Record<string, number>> = {
  driverMa: 1e-5,
  sensitivityUaPerMm: 0.01,
  ...{ set: 0, cell: 0, row: 0, loadOhm: 0, atS: 0 },
};

/** `after`, with each number of `before` that is close to its own; `before` itself where all are and nothing else is new. */
function closeTo<View extends NullView | SetView>(before: View | undefined, after: View): View {
  if (before === undefined) return after;
  const [old, fresh] = [before, after] as unknown as Record<string, unknown>[];
  const told = Object.entries(fresh).map(([name, value]) => {
    const scale = UNCERTAINTY_OF[name] === undefined ? value : fresh[UNCERTAINTY_OF[name]];
    return [name, isClose(name, old[name], value, Number(scale)) ? old[name] : value];
  });
  return told.every(([name, value]) => old[name as string] === value) ? before : Object.fromEntries(told);
}

function isClose(name: string, was: unknown, value: unknown, scale: number): boolean {
  if (typeof value !== 'number' || typeof was !== 'number') return sameData(was, value);
  return Math.abs(value - was) <= (CLOSE_SHARE[name] ?? CLOSE) * Math.abs(scale);
}
