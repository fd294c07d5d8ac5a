import type { Message } from './message.ts';
import { message } from './messages.ts';
import { plainMean } from './plain-mean.ts';

/**
 * What a student worked out by hand from the readings of a run, held against what follows from them: right, or wrong by a slip that
 * leads to just this number. The slips are those that benches and books know (common practice, no source).
 */

/** A set as the table of observations prints it: what a student works with. */
export interface PrintedSet {
  set: number;
  /** Lengths in cm: of cells 1 and 2, or with the load out and in. */
  lengthsCm: readonly [number, number];
  /** What they make: l1/l2, or R·(l0/l - 1). */
  made(first: number, second: number): number;
  /** Reading of the ammeter corrected for its zero, in mA; null where none was taken. */
  correctedMa: number | null;
}

/** Numbers as they were typed: their decimals tell how they were rounded. */
export interface TypedWorking {
  sets: readonly { set: number; ammeterMa: string; made: string }[];
  mean: string;
  uncertainty: string;
}

/** What a number is, in a sentence. */
export interface Remark extends Message {
  /** What it is about: a set's ammeter reading or what its lengths make, the mean, or its uncertainty. */
  about: { set: number; what: 'ammeter' | 'made' } | { what: 'mean' | 'uncertainty' };
  /** The number as it was typed. */
  typed: string;
  isRight: boolean;
}

interface Bench {
  rowLengthCm: number;
  /** Added to a reading of the ammeter, in mA. */
  zeroCorrectionMa: number;
}

/** A remark on each number that was typed; none on what was left empty. */
export function judgeWorking(typed: TypedWorking, printed: readonly PrintedSet[], bench: Bench): Remark[] {
  const bySet = typed.sets.flatMap(({ set, ammeterMa, made }): Remark[] => {
    const found = printed.find((one) => one.set === set);
    if (found === undefined) return [];
    return [
      ...remarkOn({ set, what: 'ammeter' }, ammeterMa, ammeterCauses(found, bench)),
      ...remarkOn({ set, what: 'made' }, made, madeCauses(found, bench)),
    ];
  });
  const made = bySet.filter(({ about }) => about.what === 'made');
  const values: Values = {
    truth: printed.map((set) => set.made(...set.lengthsCm)),
    sets: printed.map(({ set }) => set),
    own: typed.sets.flatMap(({ made: text }) => numberIn(text)?.value ?? []),
    ownIsRight: made.length === printed.length && made.every(({ isRight }) => isRight),
  };
  return [
    ...bySet,
    ...remarkOn({ what: 'mean' }, typed.mean, meanCauses(values)),
    ...remarkOn({ what: 'uncertainty' }, typed.uncertainty, spreadCauses(values)),
  ];
}

interface Values {
  truth: readonly number[];
  /** The numbers of the sets that these are of. */
  sets: readonly number[];
  own: readonly number[];
  /** Rounded as they are, they lead to another last digit. */
  ownIsRight: boolean;
}

/** A number that something leads to, and what that is; the first that fits is taken. */
interface Cause {
  value: number;
  isRight: boolean;
  message: Message;
}

const right = (value: number): Cause => ({ value, isRight: true, message: message('working-right') });
const wrong = (value: number, said: Message): Cause => ({ value, isRight: false, message: said });

function remarkOn(about: Remark['about'], text: string, causes: readonly Cause[]): Remark[] {
  if (text.trim() === '') return [];
  const typed = numberIn(text);
  const found =
    typed === null ? wrong(Number.NaN, message('working-no-number')) : causeOf(about, typed, causes);
  return found === null ? [] : [{ about, typed: text, isRight: found.isRight, ...found.message }];
}

/** Null where nothing can be held against it. */
function causeOf(about: Remark['about'], typed: TypedNumber, causes: readonly Cause[]): Cause | null {
  const known = causes.filter(({ value }) => Number.isFinite(value));
  if (known.length === 0) return null;
  const off = ({ value }: Cause) => Math.abs(value - typed.value) / typed.unit;
  const exact = known.find((cause) => off(cause) <= ROUNDED);
  if (exact?.isRight && about.what !== 'uncertainty' && typed.unit > COARSE * Math.abs(exact.value))
    return wrong(exact.value, message('working-few-digits'));
  if (exact !== undefined) return exact;
  const [truth] = known;
  if (truth.isRight && off(truth) <= LAST_DIGIT) return wrong(truth.value, message('working-last-digit'));
  // Digits may have been cut off in place of rounding: a slip is still that slip.
  const cut = known.find((cause) => off(cause) <= 1);
  return wrong(Number.NaN, cut?.message ?? message('working-unexplained'));
}

/** In units of the last digit typed: rounded rightly, and off by one there. A hair more, for numbers are binary. */
const ROUNDED = 0.5 + 1e-6;
const LAST_DIGIT = 1.5;
/** A last digit worth more than this share of the number throws away what was read. */
const COARSE = 0.005;

interface TypedNumber {
  value: number;
  /** Of its last digit. */
  unit: number;
}

/** Whether each of the sets and the mean have a number: what can be handed in. */
export const isWholeWorking = (typed: TypedWorking, printed: readonly PrintedSet[]): boolean =>
  printed.length > 0 &&
  [typed.mean, ...printed.map(({ set }) => typed.sets.find((one) => one.set === set)?.made ?? '')].every(
    (text) => numberIn(text) !== null,
  );

/** A decimal number with a point or a comma; null for anything else. */
function numberIn(text: string): TypedNumber | null {
  const found = /^[+-]?\d+(?:[.,](\d+))?$/.exec(text.trim());
  if (found === null) return null;
  return { value: Number(text.trim().replace(',', '.')), unit: 10 ** -(found[1]?.length ?? 0) };
}

function ammeterCauses({ correctedMa }: PrintedSet, { zeroCorrectionMa }: Bench): Cause[] {
  if (correctedMa === null) return [];
  return [
    right(correctedMa),
    wrong(correctedMa - zeroCorrectionMa, message('working-not-corrected')),
    wrong(correctedMa - 2 * zeroCorrectionMa, message('working-correction-turned')),
  ];
}

/** Where a reading would lie if it were taken from the other end of its row. */
function fromOtherEnd(lengthCm: number, rowLengthCm: number): number {
  const row = Math.floor(lengthCm / rowLengthCm);
  return (2 * row + 1) * rowLengthCm - lengthCm;
}

function madeCauses({ lengthsCm: [first, second], made }: PrintedSet, { rowLengthCm }: Bench): Cause[] {
  const rows = [-rowLengthCm, rowLengthCm];
  const turned = (lengthCm: number) => fromOtherEnd(lengthCm, rowLengthCm);
  return [
    right(made(first, second)),
    wrong(made(second, first), message('working-exchanged')),
    ...rows.map((by) => wrong(made(first + by, second), message('working-row', { which: 1 }))),
    ...rows.map((by) => wrong(made(first, second + by), message('working-row', { which: 2 }))),
    wrong(made(turned(first), second), message('working-zero-end', { which: 1 })),
    wrong(made(first, turned(second)), message('working-zero-end', { which: 2 })),
    wrong(made(turned(first), turned(second)), message('working-zero-ends')),
  ];
}

function meanCauses({ truth, sets, own, ownIsRight }: Values): Cause[] {
  if (truth.length === 0) return [];
  const { mean } = plainMean(truth);
  return [
    right(mean),
    ...(own.length === 0 ? [] : [ofOwn(plainMean(own).mean, ownIsRight)]),
    wrong(1 / mean, message('working-exchanged')),
    ...leftOut(truth).map((without, at) => wrong(without, message('working-left-out', { set: sets[at] }))),
  ];
}

const ofOwn = (value: number, isRight: boolean): Cause =>
  isRight ? right(value) : wrong(value, message('working-follows'));

/** The mean of all but each. */
const leftOut = (values: readonly number[]): number[] =>
  values.length < 3 ? [] : values.map((_, at) => plainMean(values.filter((__, other) => other !== at)).mean);

/** Standard deviation of the mean is what is asked for (GUM 4.2.3). */
function spreadCauses({ truth, own, ownIsRight }: Values): Cause[] {
  const of = (values: readonly number[], ofMeanIs: (value: number) => Cause): Cause[] => {
    const { standardDeviation: s, n } = plainMean(values);
    if (s === null || s === 0) return [];
    const population = s * Math.sqrt((n - 1) / n);
    return [
      ofMeanIs(s / Math.sqrt(n)),
      wrong(s, message('working-single')),
      wrong(population, message('working-population')),
      wrong(population / Math.sqrt(n), message('working-population')),
      wrong((Math.max(...values) - Math.min(...values)) / 2, message('working-half-range')),
    ];
  };
  return [...of(truth, right), ...of(own, (value) => ofOwn(value, ownIsRight))];
}
