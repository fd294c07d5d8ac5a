import type { BalancingLength } from '../../../bridge/calc-core/balancing-length.ts';
import { type Bench, lengthCm, type Null, scaleSense } from './bench.ts';
import type { Chance } from './chance.ts';

/** Nulls of one cell in one set as the one length that the program is given. */

export const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

export interface Reading {
  byEye: boolean;
  /** Relative uncertainty with which the driver current is brought to the set's. */
  currentNoise: number;
}

/** @param currentA of the set, to which all of its lengths are brought */
export function combined(
  nulls: readonly Null[],
  currentA: number,
  bench: Bench,
  reading: Reading,
  chance: Chance,
): BalancingLength {
  const { byEye, currentNoise } = reading;
  const brought = nulls.map((one) => {
    const currentShare = (one.currentA * (1 + currentNoise * chance.normal())) / currentA;
    return lengthCm(bench, one) * one.stretched * currentShare;
  });
  const [first] = nulls;
  return {
    lengthCm: mean(brought),
    ...ownUncertainty(brought, bench.reader.noiseCm, currentNoise, chance),
    common: {},
    sensorScaleCm: byEye ? null : mean(nulls.map((one) => one.scaleCm)),
    ...(byEye || nulls.length === 1 ? {} : { places: nulls.map((one) => placeOf(bench, one, nulls.length)) }),
    scaleSense: scaleSense(bench, first.row),
    row: first.row,
    atS: mean(nulls.map((one) => one.tS)),
  };
}

const placeOf = (bench: Bench, { row, scaleCm }: Null, of: number) => ({
  share: 1 / of,
  sensorScaleCm: scaleCm,
  scaleSense: scaleSense(bench, row),
});

/** What the reader knows of his readings: from a finite number of samples, and wider where two nulls disagree. */
function ownUncertainty(
  brought: readonly number[],
  noiseCm: number,
  currentNoise: number,
  chance: Chance,
): { uOwnCm: number; ownDof: number } {
  const ownDof = Math.round(chance.logBetween(10, 100));
  const seen = Math.max(0.5, 1 + chance.normal() * Math.sqrt(2 / ownDof)) ** 0.5;
  const one = Math.hypot(noiseCm * seen, currentNoise * brought[0]);
  const apart = brought.length === 1 ? 0 : Math.abs(brought[0] - brought[1]);
  if (apart > 2.576 * Math.SQRT2 * one) return { uOwnCm: apart / 2, ownDof: 1 };
  return { uOwnCm: one / Math.sqrt(brought.length), ownDof };
}
