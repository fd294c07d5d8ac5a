import {
  type BalancingLength,
  type BenchKnowledge,
  priorEndCorrection,
  priorThermalEmfUv,
} from './balancing-length.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { CalculationFault } from './outcome.ts';

/** Sorts out what cannot be calculated with, in words, before it becomes NaN. */

/** What is wrong with a length; null where it is sound. */
export function lengthFault(length: BalancingLength): Message | null {
  if (!(Number.isFinite(length.lengthCm) && length.lengthCm > 0)) {
    return message('length-not-above-0', { cm: String(length.lengthCm) });
  }
  if (!(Number.isFinite(length.uOwnCm) && length.uOwnCm >= 0)) return message('length-without-uncertainty');
  if (!(length.ownDof > 0)) return message('length-without-dof');
  if (!Object.values(length.common).every(Number.isFinite)) return message('length-with-odd-effect');
  return null;
}

/** What of the bench cannot be calculated with; null where it is sound. */
export function benchFault(bench: BenchKnowledge): Message | null {
  const { position, turnCorrectionCm: turn } = bench;
  const end = priorEndCorrection(bench);
  const positive = [
    bench.wireLengthCm,
    bench.rowLengthCm,
    bench.wireResistanceOhm,
    position?.correlationCm ?? 1,
  ];
  const notNegative = [
    end.standardUncertaintyCm,
    position?.standardUncertaintyCm ?? 0,
    bench.uniformityRelative ?? 0,
    bench.rowSpreadRelative ?? 0,
    turn?.standardUncertaintyCm ?? 0,
    priorThermalEmfUv(bench),
    ...Object.values(bench.steadyRelativePerMin).map((steady) => steady ?? 0),
  ];
  const finite = [...positive, ...notNegative, end.valueCm, turn?.valueCm ?? 0].every(Number.isFinite);
  if (finite && positive.every((value) => value > 0) && notNegative.every((value) => value >= 0)) return null;
  return message('bench-value-senseless');
}

/** The sets that can be calculated with, and what is wrong with each of the others. */
export function sortOut<One extends { set: number }>(
  sets: readonly One[],
  faultOf: (set: One, before: readonly One[]) => Message | null,
): { usable: One[]; faults: CalculationFault[] } {
  const faults: CalculationFault[] = [];
  const usable = sets.filter((set, index) => {
    const why = faultOf(set, sets.slice(0, index));
    if (why !== null)
      faults.push({ code: 'sets-senseless', ...message('set-left-out', { set: String(set.set), why }) });
    return why === null;
  });
  return { usable, faults };
}

/** Rows of the budget that nobody stated a value for: taken as zero, and named. */
export function absentRows(
  bench: BenchKnowledge,
  lengths: readonly BalancingLength[],
  driven: boolean,
): CalculationFault[] {
  const sensed = lengths.some((length) => length.sensorScaleCm !== null);
  const absent: [boolean, Message][] = [
    [bench.position === null && sensed, message('absent-position')],
    [bench.uniformityRelative === null, message('absent-wire')],
    [bench.turnCorrectionCm === null, message('absent-turns')],
    [!driven && priorThermalEmfUv(bench) > 0, message('absent-thermal')],
  ];
  return absent
    .filter(([missing]) => missing)
    .map(([, what]) => ({ code: 'budget-row-absent', ...message('row-absent', { what }) }));
}
