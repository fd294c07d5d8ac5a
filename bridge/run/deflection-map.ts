import type { Bench } from '../bench/bench-file.ts';
import { correctedAmmeterMa } from '../bench/calibration.ts';
import { lengthFromA, wireLengthCm } from '../bench/geometry.ts';
import { median } from '../calc-core/median.ts';
import type { Driven } from './deflection-due.ts';
import { leastDueUa } from './deflection-due.ts';
import type { DriverHistory } from './driver-history.ts';
import type { EventLog } from './event-log.ts';
import { fullCurrentMa, openUpToMa } from './key-open.ts';
import type { Evidence } from './run-state.ts';
import { setOfTouch, switchesOfTouch } from './switches.ts';

/** Where the jockey touched for one set and cell, and which way the galvanometer went: what connections are judged by. */

export interface MapPoint {
  lengthCm: number;
  /** +1 the way a rightly connected cell drives with the jockey at A, -1 the other way, 0 no deflection. */
  sign: -1 | 0 | 1;
  /** Size of the current in microamperes; the span's end where saturated. */
  sizeUa: number;
  saturated: boolean;
  protect: boolean;
  /** The tap or pass it was seen in. */
  seenIn: Evidence;
}

export interface DeflectionMap extends Driven {
  set: number;
  points: MapPoint[];
  wireCm: number;
}

/** A touch within this share of the wire from its end tries that end. */
const END_SHARE = 0.2;
/** Deflections below this many standard deviations are none. */
const CLEAR = 5;
/** Of what a place must show: less is none. */
const NONE_SHARE = 0.01;

/** @param _events on record: the log grows, and what it says with it */
export function deflectionMaps(
  evidence: readonly Evidence[],
  driver: DriverHistory | null,
  log: EventLog,
  _events: number,
): DeflectionMap[] {
  const maps = new Map<string, Gathered>();
  for (const seenIn of evidence) {
    const { labels: touch, deflections, driverMa } = seenIn;
    const labels = switchesOfTouch(touch, log);
    if (labels.cell === null || labels.row === null || labels.load || deflections.length === 0) continue;
    const { bench } = touch.bench;
    const set = setOfTouch(touch, deflections[0].tS, log, driver);
    const key = `${set},${labels.cell}`;
    const map = maps.get(key) ?? emptyMap(bench, set, labels.cell, deflections[0].tS);
    maps.set(key, map);
    if (driverMa !== null) map.currents.push(driverMa);
    for (const deflection of deflections) {
      const signed = deflection.offCounts * bench.galvanometer.microampsPerCount;
      const clear = deflection.saturated || Math.abs(deflection.offCounts) > CLEAR * deflection.uCounts + 1;
      map.points.push({
        lengthCm: lengthFromA(bench.wire, labels.row, deflection.xCm),
        sign: clear ? (Math.sign(signed) as -1 | 0 | 1) : 0,
        sizeUa: Math.abs(signed),
        saturated: deflection.saturated,
        protect: labels.protect,
        seenIn,
      });
    }
  }
  return [...maps.values()].map(({ currents, fromS, ...map }) =>
    withoutNoise({ ...map, ...driverOf(map.bench, currents, fromS, driver, log) }),
  );
}

/**
 * The map with what is far too small for its place taken for no deflection; all of it, where no touch shows a hundredth of what the one
 * furthest from the null must. Near a null nothing need deflect, so that touches there alone tell nothing.
 */
function withoutNoise(map: DeflectionMap): DeflectionMap {
  const leastUa = map.points.map((point) => NONE_SHARE * leastDueUa(point.lengthCm, point.protect, map));
  const mostUa = Math.max(...leastUa);
  const isSilent = map.points.every(({ saturated, sizeUa }) => !saturated && sizeUa < mostUa);
  const points = map.points.map((point, at): MapPoint => {
    const isNone = isSilent || (!point.saturated && point.sizeUa < leastUa[at]);
    return isNone ? { ...point, sign: 0 } : point;
  });
  return { ...map, points };
}

/** Touches that deflected, in order of length. */
export const byLength = (points: readonly MapPoint[]): MapPoint[] =>
  points.filter((point) => point.sign !== 0).sort((a, b) => a.lengthCm - b.lengthCm);

/** Which ends of the wire were tried. */
export const endsTouched = ({ points, wireCm }: DeflectionMap): { a: boolean; b: boolean } => ({
  a: points.some(({ lengthCm }) => lengthCm < END_SHARE * wireCm),
  b: points.some(({ lengthCm }) => lengthCm > (1 - END_SHARE) * wireCm),
});

interface Gathered extends DeflectionMap {
  currents: number[];
  /** Time of the first touch. */
  fromS: number;
}

const emptyMap = (bench: Bench, set: number, cell: number, fromS: number): Gathered => ({
  bench,
  set,
  cell,
  points: [],
  wireCm: wireLengthCm(bench.wire),
  driver: 'unknown',
  driverMa: null,
  currents: [],
  fromS,
});

function driverOf(
  bench: Bench,
  currents: readonly number[],
  fromS: number,
  driver: DriverHistory | null,
  log: EventLog,
): Pick<DeflectionMap, 'driver' | 'driverMa'> {
  const driverMa = currents.length === 0 ? readByEye(log, bench) : median(currents);
  if (driverMa === null) return { driver: 'unknown', driverMa };
  const noneUpToMa = driver?.openUpToMaAt(fromS) ?? openUpToMa(0, null, fullCurrentMa(bench));
  if (Math.abs(driverMa) <= noneUpToMa) return { driver: 'none', driverMa };
  return { driver: driverMa > 0 ? 'flowing' : 'backward', driverMa };
}

function readByEye(log: EventLog, bench: Bench): number | null {
  const read = log.last('ammeter')?.readingMa;
  return read === undefined ? null : correctedAmmeterMa(bench, read);
}
