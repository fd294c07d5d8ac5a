import type { Bench } from '../bench/bench-file.ts';
import { placeOnWire, wireLengthCm } from '../bench/geometry.ts';
import { statedEmfV } from '../bench/stated-emf.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { PresentState } from './run-state.ts';
import type { GuidanceView, LabelsView } from './view.ts';

/**
 * Where the null of the present cell will be, by the best of what has been learnt so far. `withinCm` is a promise to whoever
 * hunts for it; tests count how often it is kept.
 */

/** A hand puts the jockey down no nearer than this to where it means to (common practice, no source). */
const HAND_CM = 0.1;
/** And finds a null that it has found again: the hand both times. */
const FOUND_AGAIN_CM = 2 * HAND_CM;
/** At another driver current, or under a load, lengths are out by what nobody knows of the end correction: as a bench file's default has it. */
const END_CM = 1;
/** What an ammeter leaves open of the ratio of two currents. */
const CURRENTS_SHARE = 0.01;
/** What one voltmeter leaves open of the ratio of two readings of its own: most of its error is in both. */
const READINGS_SHARE = 0.03;
/** What voltmeter, ammeter and the wire's stated resistance leave open together, as a rule; findings allow for more. */
const METERS_SHARE = 0.05;
/** A cell under load loses up to a tenth of its EMF: the middle of that, and its half. */
const LOAD_SHARE = 0.05;
/** Share of the way to the null that stays in doubt by a sensitivity seen at a null: the current is not quite straight in length. */
const SEEN_DOUBT = 0.1;
/** The same by the bench file, which does not state the cell's own resistance nor that of the leads. */
const STATED_DOUBT = 0.2;
/** Standard deviations of one reading's noise that a promise allows for. */
const NOISE_WITHIN = 3;
/** Without contact sensing a current that may be noise, or is less than a microampere, may be a lifted jockey's. */
const NOISE_ALONE = 6;
const LIFTED_UA = 1;

/** What holds at the bench now. */
interface Present extends Pick<PresentState, 'now' | 'driverMa'> {
  bench: Bench;
  nulls: readonly ResolvedNull[];
  /** Standard deviation of one reading of the galvanometer, in microamperes. */
  noiseUa: number;
  set: number;
  cell: number;
  protect: boolean;
  /** A load is across the cell, and of how many ohm where that is known. */
  load: boolean;
  loadOhm: number | null;
}

interface Expected {
  lengthCm: number;
  withinCm: number;
  basis: GuidanceView['basis'];
}

export function guidance(
  bench: Bench | null,
  nulls: readonly ResolvedNull[],
  labels: LabelsView,
  { now, driverMa, noiseCounts }: PresentState,
): GuidanceView | null {
  const cell = labels.cell.value;
  if (bench === null || cell === null) return null;
  const present: Present = {
    bench,
    nulls,
    now,
    driverMa,
    noiseUa: noiseCounts * bench.galvanometer.microampsPerCount,
    set: labels.set.value,
    cell,
    protect: labels.protect.value,
    load: labels.load.value,
    loadOhm: labels.load.ohm,
  };
  const expected = narrowest([
    fromReading(present),
    fromNulls(present),
    fromDriverCurrent(present),
    ...(present.load
      ? [fromOpenLength(present)]
      : [fromEarlierSets(present), fromOtherCell(present), fromVoltmeter(present)]),
  ]);
  if (expected === null || expected.lengthCm < 0 || expected.lengthCm > wireLengthCm(bench.wire)) return null;
  const moveCm = now === null || now.lengthCm === null ? null : expected.lengthCm - now.lengthCm;
  return { ...expected, ...placeOnWire(bench.wire, expected.lengthCm), moveCm };
}

const sound = (nullPoint: ResolvedNull): boolean =>
  nullPoint.rejected === null && nullPoint.lengthCm !== null;

const narrowest = (all: readonly (Expected | null)[]): Expected | null =>
  all.reduce(
    (best, next) => (next !== null && (best === null || next.withinCm < best.withinCm) ? next : best),
    null,
  );

/** Before the null is reached: the present current over the sensitivity. */
function fromReading(present: Present): Expected | null {
  const { now, noiseUa } = present;
  if (now === null || now.contact === false || now.saturated) return null;
  if (now.lengthCm === null || now.currentUa === null) return null;
  if (now.contact === null && Math.abs(now.currentUa) < Math.max(LIFTED_UA, NOISE_ALONE * noiseUa))
    return null;
  const sensitivity = learntSensitivity(present) ?? statedSensitivity(present);
  if (sensitivity === null) return null;
  const moveCm = -now.currentUa / sensitivity.uaPerCm;
  const noiseCm = noiseUa / Math.abs(sensitivity.uaPerCm);
  const withinCm = HAND_CM + sensitivity.doubt * Math.abs(moveCm) + NOISE_WITHIN * noiseCm;
  return { lengthCm: now.lengthCm + moveCm, withinCm, basis: 'readings' };
}

interface Sensitivity {
  uaPerCm: number;
  /** Share by which it may be off along the way to the null. */
  doubt: number;
}

/** Of the last null with the same protective resistance; it goes with the driver current. */
function learntSensitivity({ nulls, protect, driverMa }: Present): Sensitivity | null {
  const like = nulls.findLast(
    (nullPoint) => sound(nullPoint) && nullPoint.slope !== null && nullPoint.labels.protect === protect,
  );
  if (like === undefined || like.slope === null) return null;
  const share = driverMa === null || like.current === null ? 1 : driverMa / like.current.mA;
  const uaPerCount = like.touch.bench.bench.galvanometer.microampsPerCount;
  return { uaPerCm: like.slope * like.sense * uaPerCount * share, doubt: SEEN_DOUBT };
}

/** By the bench file, before any null has shown it: the drop along a cm of wire over the branch's resistance. */
function statedSensitivity({ bench, driverMa, protect }: Present): Sensitivity | null {
  if (driverMa === null || !(driverMa > 0)) return null;
  const dropUv = (1000 * driverMa * bench.wire.resistanceOhm) / wireLengthCm(bench.wire);
  const protectOhm = protect ? (bench.protectiveResistanceOhm ?? 0) : 0;
  return { uaPerCm: -dropUv / (bench.galvanometer.resistanceOhm + protectOhm), doubt: STATED_DOUBT };
}

/** Found with the present cell in the present state, open or under the present load. */
const isAlike = (
  { labels }: ResolvedNull,
  { cell, load, loadOhm }: Pick<Present, 'cell' | 'load' | 'loadOhm'>,
): boolean => labels.cell === cell && labels.load === load && (!load || labels.loadOhm === loadOhm);

function fromNulls(present: Present): Expected | null {
  const here = present.nulls.filter(
    (nullPoint) => sound(nullPoint) && nullPoint.set === present.set && isAlike(nullPoint, present),
  );
  const best = here.findLast((nullPoint) => !nullPoint.labels.protect) ?? here[here.length - 1];
  if (best === undefined) return null;
  const u = Math.sqrt(best.ownVarianceCm2 + best.lagCm ** 2 + best.zeroCm ** 2);
  const basis = best.labels.protect ? 'coarse-null' : 'readings';
  return { lengthCm: best.lengthCm as number, withinCm: Math.max(FOUND_AGAIN_CM, 3 * u), basis };
}

/** The last fine null of a set's cell on open circuit. */
const fineLengthCm = (nulls: readonly ResolvedNull[], set: number, cell: number) =>
  nulls.findLast(
    (nullPoint) =>
      sound(nullPoint) &&
      nullPoint.set === set &&
      !nullPoint.labels.protect &&
      isAlike(nullPoint, { cell, load: false, loadOhm: null }),
  )?.lengthCm;

/** What an earlier set found in the same state: lengths go as 1/I, but for end correction and what the ammeter leaves open. */
function fromDriverCurrent(present: Present): Expected | null {
  const { driverMa } = present;
  const like = present.nulls.findLast(
    (nullPoint) =>
      sound(nullPoint) &&
      nullPoint.set < present.set &&
      !nullPoint.labels.protect &&
      isAlike(nullPoint, present),
  );
  if (like === undefined || like.current === null || driverMa === null || !(driverMa > 0)) return null;
  const lengthCm = ((like.lengthCm as number) * like.current.mA) / driverMa;
  return { lengthCm, withinCm: Math.max(END_CM, CURRENTS_SHARE * lengthCm), basis: 'voltmeter' };
}

/**
 * Under load, from the null of the same set on open circuit: l = l0/(1 + r/R), r as earlier sets have shown it. Before any has,
 * no more is known than that it lies on A's side of the open one, and mostly by less than a tenth.
 */
function fromOpenLength(present: Present): Expected | null {
  const openCm = fineLengthCm(present.nulls, present.set, present.cell);
  if (openCm === undefined || openCm === null) return null;
  const rOhm = internalOhm(present);
  if (rOhm === null || present.loadOhm === null)
    return { lengthCm: (1 - LOAD_SHARE) * openCm, withinCm: LOAD_SHARE * openCm, basis: 'voltmeter' };
  return { lengthCm: openCm / (1 + rOhm / present.loadOhm), withinCm: END_CM, basis: 'earlier-sets' };
}

/** r = R(l0/l - 1), of the newest null under load that has an open one in its set. */
function internalOhm({ nulls, cell }: Present): number | null {
  for (const { labels, set, lengthCm } of nulls.filter(sound).toReversed()) {
    if (labels.cell !== cell || !labels.load || labels.protect || labels.loadOhm === null) continue;
    const openCm = fineLengthCm(nulls, set, cell);
    if (openCm && lengthCm) return labels.loadOhm * (openCm / lengthCm - 1);
  }
  return null;
}

/** The other cell's null of this set, times the ratio that the bench file states. */
function fromOtherCell({ bench, nulls, set, cell }: Present): Expected | null {
  const other = fineLengthCm(nulls, set, 3 - cell);
  const [mine, theirs] = [statedEmfV(bench, cell), statedEmfV(bench, 3 - cell)];
  if (!other || mine === undefined || theirs === undefined) return null;
  const lengthCm = (other * mine) / theirs;
  return { lengthCm, withinCm: READINGS_SHARE * lengthCm, basis: 'voltmeter' };
}

/** The other cell's null of this set, times the ratio that earlier sets have shown. */
function fromEarlierSets({ nulls, set: presentSet, cell }: Present): Expected | null {
  const other = fineLengthCm(nulls, presentSet, 3 - cell);
  if (other === undefined || other === null) return null;
  for (let set = presentSet - 1; set >= 1; set -= 1) {
    const mine = fineLengthCm(nulls, set, cell);
    const theirs = fineLengthCm(nulls, set, 3 - cell);
    if (mine && theirs) return { lengthCm: (other * mine) / theirs, withinCm: END_CM, basis: 'earlier-sets' };
  }
  return null;
}

/** The EMF by voltmeter or certificate over the drop that the driver current makes along the wire. */
function fromVoltmeter({ bench, driverMa, cell }: Present): Expected | null {
  const emf = statedEmfV(bench, cell);
  if (driverMa === null || emf === undefined) return null;
  const dropV = (driverMa / 1000) * bench.wire.resistanceOhm;
  if (!(dropV > emf)) return null;
  const lengthCm = (emf / dropV) * wireLengthCm(bench.wire);
  return { lengthCm, withinCm: METERS_SHARE * lengthCm, basis: 'voltmeter' };
}
