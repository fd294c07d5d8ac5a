import { type Bench, correlationCmOf } from '../bench/bench-file.ts';
import { correctedAmmeterMa } from '../bench/calibration.ts';
import type { RunFold } from './fold.ts';
import type { Combined } from './observations.ts';
import { combine } from './observations.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import { currentOf, setCurrent } from './set-current.ts';

/** The nulls of one set, and the driver current that its lengths are brought to. */
export interface SetNulls {
  set: number;
  nulls: ResolvedNull[];
  /** In mA; null where nothing measured or said it. */
  driverMa: number | null;
  /** One balancing length from some of the nulls, brought to the set's current; null from none. */
  lengthOf(nulls: ResolvedNull[]): Combined | null;
}

/** Accepted nulls set by set, in order of the sets. */
export function setsOf(fold: RunFold, bench: Bench, used: readonly ResolvedNull[]): SetNulls[] {
  const correlationCm = correlationCmOf(bench);
  return numbersOf(used).map((set) => {
    const nulls = used.filter((nullPoint) => nullPoint.set === set);
    const current = setCurrent(nulls, correlationCm);
    return {
      set,
      nulls,
      // Where all lengths were read by eye, of the times at which they were typed, else by the ammeter.
      driverMa: current?.mA ?? currentOf(nulls).mA ?? ammeterMa(fold, bench, nulls),
      lengthOf: (some) => (some.length === 0 ? null : combine(some, current, correlationCm)),
    };
  });
}

const numbersOf = (nulls: readonly ResolvedNull[]): number[] =>
  [...new Set(nulls.map((nullPoint) => nullPoint.set))].sort((a, b) => a - b);

/** The last ammeter reading by eye that was said before the set's last null; by the order of words where no sample tells the time. */
function ammeterMa(fold: RunFold, bench: Bench, nulls: readonly ResolvedNull[]): number | null {
  const latest = Math.max(...nulls.map((nullPoint) => nullPoint.tS));
  const lastEvent = Math.max(...nulls.map((nullPoint) => nullPoint.touch.events));
  const readings = fold.log
    .standing('ammeter')
    .filter(({ entry }) => (entry.atS === null ? entry.number <= lastEvent : entry.atS <= latest + 1));
  const last = readings[readings.length - 1];
  return last === undefined ? null : correctedAmmeterMa(bench, last.event.readingMa);
}
