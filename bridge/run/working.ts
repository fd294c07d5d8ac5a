import type { Bench } from '../bench/bench-file.ts';
import { isWholeWorking, judgeWorking, type PrintedSet } from '../calc-core/own-working.ts';
import type { EventLog } from './event-log.ts';
import { setRows } from './set-rows.ts';
import type { RunWork, WorkingView } from './view.ts';

/** What was worked out by hand last, and a remark on each number; null where nothing was. */
export function workingView(log: EventLog, work: RunWork, bench: Bench | null): WorkingView | null {
  const typed = log.last('working');
  if (typed === null || bench === null) return null;
  const { sets, mean, uncertainty } = typed;
  const printed = printedSets(work);
  const remarks = judgeWorking(typed, printed, {
    rowLengthCm: bench.wire.rowLengthCm,
    zeroCorrectionMa: bench.ammeter?.zeroCorrectionMa ?? 0,
  });
  return { sets, mean, uncertainty, isWhole: isWholeWorking(typed, printed), remarks };
}

/** The sets as their table prints them: whole ones, whose digits a student can work with. */
function printedSets(work: RunWork): PrintedSet[] {
  return setRows(work).flatMap(({ set, driverMa, loadOhm, lengths: [first, second] }): PrintedSet[] => {
    const lengthsCm = [Number(first.value), Number(second.value)] as const;
    if (!lengthsCm.every(Number.isFinite)) return [];
    const correctedMa = Number(driverMa);
    const made =
      loadOhm === null
        ? (a: number, b: number) => a / b
        : (a: number, b: number) => Number(loadOhm) * (a / b - 1);
    return [{ set, lengthsCm, made, correctedMa: Number.isFinite(correctedMa) ? correctedMa : null }];
  });
}
