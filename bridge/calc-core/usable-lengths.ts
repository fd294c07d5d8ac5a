import type { Assumable, FullKnowledge } from './assumed-sizes.ts';
import type { BalancingLength, BenchKnowledge } from './balancing-length.ts';
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
  const { position, turnCorrectionCm: turn, endCorrection: end } = bench;
  const positive = [
    bench.wireLengthCm,
    bench.rowLengthCm,
    bench.wireResistanceOhm,
    position?.correlationCm ?? 1,
  ];
  const notNegative = [
    end?.standardUncertaintyCm ?? 0,
    position?.standardUncertaintyCm ?? 0,
    bench.uniformityRelative ?? 0,
    bench.rowSpreadRelative ?? 0,
    turn?.standardUncertaintyCm ?? 0,
    bench.thermalEmfUv ?? 0,
    ...Object.values(bench.steadyRelativePerMin).map((steady) => steady ?? 0),
  ];
  const finite = [...positive, ...notNegative, end?.valueCm ?? 0, turn?.valueCm ?? 0].every(Number.isFinite);
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

const ASSUMED_ROWS: Readonly<Record<Assumable, Message>> = {
  position: message('absent-position'),
  endCorrection: message('absent-end'),
  uniformityRelative: message('absent-wire'),
  rowSpreadRelative: message('absent-rows'),
  turnCorrectionCm: message('absent-turns'),
  thermalEmfUv: message('absent-thermal'),
  steadyRelativePerMin: message('absent-steady'),
};

/** Rows of the budget that nobody stated a value for: an ordinary size stands in, and each is named. */
export function assumedRows(bench: FullKnowledge, lengths: readonly BalancingLength[]): CalculationFault[] {
  const sensed = lengths.some((length) => length.sensorScaleCm !== null);
  return [...bench.assumed]
    .filter((name) => name !== 'position' || sensed)
    .map((name) => ({ code: 'budget-row-absent', ...message('row-assumed', { what: ASSUMED_ROWS[name] }) }));
}

/** Thermal EMFs become lengths by the driver current; where it was not measured, or was none, their row is missing. */
export const undrivenSets = (sets: readonly { set: number; driverMa: number | null }[]): CalculationFault[] =>
  sets
    .filter(({ driverMa }) => driverMa === null || !(driverMa > 0))
    .map(({ set }) => ({ code: 'budget-row-absent', ...message('thermal-without-current', { set }) }));
