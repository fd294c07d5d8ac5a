import { placeOnWire, wireLengthCm } from '../bench/geometry.ts';
import type { RunFold } from './fold.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import type { GuidanceView, NowView } from './view.ts';

/** Where the null of the present cell will be, by the best of what has been learnt so far. */

export interface Present {
  set: number;
  cell: number | null;
  protect: boolean;
}

interface Expected {
  lengthCm: number;
  withinCm: number;
  basis: GuidanceView['basis'];
}

export function guidance(
  fold: RunFold,
  nulls: readonly ResolvedNull[],
  present: Present,
  now: NowView | null,
): GuidanceView | null {
  const bench = fold.bench?.bench;
  if (bench === undefined || present.cell === null) return null;
  const expected =
    fromReading(nulls, present, now) ??
    fromNulls(nulls, present) ??
    fromEarlierSets(nulls, present) ??
    fromVoltmeter(fold, present);
  if (expected === null || expected.lengthCm < 0 || expected.lengthCm > wireLengthCm(bench.wire)) return null;
  const moveCm = now === null || now.lengthCm === null ? null : expected.lengthCm - now.lengthCm;
  return { ...expected, ...placeOnWire(bench.wire, expected.lengthCm), moveCm };
}

const sound = (null_: ResolvedNull): boolean => null_.rejected === null && null_.lengthCm !== null;

/** Before the null is reached: the present current over the sensitivity learnt with the same protective resistance. */
function fromReading(nulls: readonly ResolvedNull[], present: Present, now: NowView | null): Expected | null {
  if (
    now === null ||
    now.contact === false ||
    now.saturated ||
    now.lengthCm === null ||
    now.currentUa === null
  )
    return null;
  // Without contact sensing, no current may be a lifted jockey.
  if (now.contact === null && Math.abs(now.currentUa) < 1) return null;
  const like = nulls.findLast(
    (null_) => sound(null_) && null_.slope !== null && null_.labels.protect === present.protect,
  );
  if (like === undefined || like.slope === null) return null;
  const uaPerCm = like.slope * like.sense * like.touch.bench.bench.galvanometer.microampsPerCount;
  const moveCm = -now.currentUa / uaPerCm;
  // The current is not quite straight in length: a share of the way stays in doubt.
  return { lengthCm: now.lengthCm + moveCm, withinCm: 0.1 + 0.1 * Math.abs(moveCm), basis: 'readings' };
}

function fromNulls(nulls: readonly ResolvedNull[], present: Present): Expected | null {
  const here = nulls.filter(
    (null_) => sound(null_) && null_.set === present.set && null_.labels.cell === present.cell,
  );
  const best = here.findLast((null_) => !null_.labels.protect) ?? here[here.length - 1];
  if (best === undefined) return null;
  const u = Math.sqrt(best.ownVarianceCm2 + best.lagCm ** 2 + best.zeroCm ** 2);
  const basis = best.labels.protect ? 'coarse-null' : 'readings';
  return { lengthCm: best.lengthCm as number, withinCm: Math.max(0.2, 3 * u), basis };
}

/** The other cell's null of this set, times the ratio that earlier sets have shown. */
function fromEarlierSets(nulls: readonly ResolvedNull[], present: Present): Expected | null {
  const lengthOf = (set: number, cell: number) =>
    nulls.findLast(
      (null_) => sound(null_) && null_.set === set && null_.labels.cell === cell && !null_.labels.protect,
    )?.lengthCm;
  const cell = present.cell as number;
  const other = lengthOf(present.set, 3 - cell);
  if (other === undefined || other === null) return null;
  for (let set = present.set - 1; set >= 1; set -= 1) {
    const mine = lengthOf(set, cell);
    const theirs = lengthOf(set, 3 - cell);
    if (mine && theirs) return { lengthCm: (other * mine) / theirs, withinCm: 1, basis: 'earlier-sets' };
  }
  return null;
}

/** The voltmeter's EMF over the drop that the driver current makes along the wire. */
function fromVoltmeter(fold: RunFold, present: Present): Expected | null {
  const bench = fold.bench?.bench;
  const driverMa = fold.driver?.latestMa ?? null;
  const emf = bench?.cells?.[present.cell === 1 ? '1' : '2']?.voltmeterV;
  if (bench === undefined || driverMa === null || emf === undefined) return null;
  const dropV = (driverMa / 1000) * bench.wire.resistanceOhm;
  if (!(dropV > emf)) return null;
  const lengthCm = (emf / dropV) * wireLengthCm(bench.wire);
  return { lengthCm, withinCm: 0.05 * lengthCm, basis: 'voltmeter' };
}
