import { type Bench, correlationCmOf } from '../bench/bench-file.ts';
import { correctedAmmeterMa } from '../bench/calibration.ts';
import type { EventLog } from './event-log.ts';
import type { Combined } from './observations.ts';
import { combine } from './observations.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { SetCurrent } from './set-current.ts';
import { currentOf, setCurrent } from './set-current.ts';

/** The nulls of one set, and the driver current that its lengths are brought to. */
export interface SetNulls {
  set: number;
  nulls: ResolvedNull[];
  /** In mA; null where nothing measured or said it. */
  driverMa: number | null;
  /** Null where nothing tells how its nulls lie in time. */
  current: SetCurrent | null;
  /** Of the position sensor's error. */
  correlationCm: number;
}

/** Accepted nulls set by set, in order of the sets. */
export function setsOf(used: readonly ResolvedNull[], bench: Bench, log: EventLog): SetNulls[] {
  const correlationCm = correlationCmOf(bench);
  return numbersOf(used).map((set) => {
    const nulls = used.filter((nullPoint) => nullPoint.set === set);
    const current = setCurrent(nulls, correlationCm);
    return {
      set,
      nulls,
      // Where all lengths were read by eye, of the times at which they were typed, else by the ammeter.
      driverMa: current?.mA ?? currentOf(nulls).mA ?? ammeterMa(log, bench, nulls),
      current,
      correlationCm,
    };
  });
}

/** One balancing length from those nulls of a set that are meant, brought to the set's current; null from none. */
export function lengthOf(
  { nulls, current, correlationCm }: SetNulls,
  isMeant: (nullPoint: ResolvedNull) => boolean,
): Combined | null {
  const meant = nulls.filter(isMeant);
  return meant.length === 0 ? null : combine(meant, current, correlationCm);
}

const numbersOf = (nulls: readonly ResolvedNull[]): number[] =>
  [...new Set(nulls.map((nullPoint) => nullPoint.set))].sort((a, b) => a - b);

/** The last ammeter reading by eye that was said before the set's last null; by the order of words where no sample tells the time. */
function ammeterMa(log: EventLog, bench: Bench, nulls: readonly ResolvedNull[]): number | null {
  const latest = Math.max(...nulls.map((nullPoint) => nullPoint.tS));
  const lastEvent = Math.max(...nulls.map((nullPoint) => nullPoint.touch.events));
  const readings = log
    .standing('ammeter')
    .filter(({ entry }) => (entry.atS === null ? entry.number <= lastEvent : entry.atS <= latest + 1));
  const last = readings[readings.length - 1];
  return last === undefined ? null : correctedAmmeterMa(bench, last.event.readingMa);
}
