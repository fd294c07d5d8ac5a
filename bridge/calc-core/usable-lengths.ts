import type { BalancingLength, BenchKnowledge } from './balancing-length.ts';
import type { CalculationFault } from './outcome.ts';

/** Sorts out what cannot be calculated with, in words, before it becomes NaN. */

/** What is wrong with a length; null where it is sound. */
export function lengthFault(length: BalancingLength): string | null {
  if (!(Number.isFinite(length.lengthCm) && length.lengthCm > 0)) {
    return `is ${length.lengthCm} cm; a balancing length is above 0`;
  }
  if (!(Number.isFinite(length.uOwnCm) && length.uOwnCm >= 0)) return 'has no standard uncertainty';
  if (!(length.ownDof > 0)) return 'has an uncertainty without degrees of freedom';
  if (!Object.values(length.common).every(Number.isFinite)) return 'has a common effect that is no number';
  return null;
}

/** What of the bench cannot be calculated with; null where it is sound. */
export function benchFault(bench: BenchKnowledge): string | null {
  const { position, endCorrection: end, turnCorrectionCm: turn } = bench;
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
    turn?.standardUncertaintyCm ?? 0,
    bench.thermalEmfUv,
  ];
  const finite = [...positive, ...notNegative, end.valueCm, turn?.valueCm ?? 0].every(Number.isFinite);
  if (finite && positive.every((value) => value > 0) && notNegative.every((value) => value >= 0)) return null;
  return 'What is known of the bench holds a value that is missing or senseless; check the bench file.';
}

export const senseless = (set: number, what: string): CalculationFault => ({
  code: 'sets-senseless',
  text: `Set ${set} is left out: ${what}. Measure it again or reject it.`,
});

/** Rows of the budget that nobody stated a value for: taken as zero, and named. */
export function absentRows(
  bench: BenchKnowledge,
  lengths: readonly BalancingLength[],
  driven: boolean,
): CalculationFault[] {
  const sensed = lengths.some((length) => length.sensorScaleCm !== null);
  const absent: [boolean, string][] = [
    [
      bench.position === null && sensed,
      'the calibration of the position sensor (position.standardUncertaintyCm)',
    ],
    [bench.uniformityRelative === null, 'the uniformity of the wire (wire.uniformityRelative)'],
    [bench.turnCorrectionCm === null, 'the strips that join the rows (wire.turnCorrectionCm)'],
    [
      !driven && bench.thermalEmfUv > 0,
      'thermal EMFs, because no driver current turns microvolts into length',
    ],
  ];
  return absent
    .filter(([missing]) => missing)
    .map(([, what]) => ({
      code: 'budget-row-absent',
      text: `The budget has no row for ${what}; it is taken as zero.`,
    }));
}
