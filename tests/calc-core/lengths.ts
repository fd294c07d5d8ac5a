import type {
  BalancingLength,
  BenchKnowledge,
  ComparisonSet,
} from '../../bridge/calc-core/balancing-length.ts';

/** Balancing lengths for the tests. */

export const BENCH: BenchKnowledge = {
  wireLengthCm: 1000,
  rowLengthCm: 100,
  wireResistanceOhm: 20,
  position: { standardUncertaintyCm: 0.03, correlationCm: 15 },
  endCorrection: { valueCm: 0, standardUncertaintyCm: 1 },
  uniformityRelative: 0,
  rowSpreadRelative: 0,
  turnCorrectionCm: { valueCm: 0, standardUncertaintyCm: 0 },
  thermalEmfUv: 5,
  steadyRelativePerMin: { 1: 0, 2: 0 },
};

/** The same bench, of which nobody has measured anything but the wire's length and resistance. */
export const SILENT: BenchKnowledge = {
  ...BENCH,
  position: null,
  endCorrection: null,
  uniformityRelative: null,
  rowSpreadRelative: null,
  turnCorrectionCm: null,
  thermalEmfUv: null,
  steadyRelativePerMin: { 1: null, 2: null },
};

export const readByEye = (lengthCm: number, uCm: number): BalancingLength => ({
  lengthCm,
  uOwnCm: uCm,
  ownDof: Number.POSITIVE_INFINITY,
  common: {},
  sensorScaleCm: null,
  scaleSense: 1,
  row: null,
  atS: null,
});

/** Odd rows run with the scale, even ones against it. */
export function sensed(lengthCm: number, uCm = 0.004): BalancingLength {
  const row = Math.floor(lengthCm / 100) + 1;
  const along = lengthCm - (row - 1) * 100;
  const forward = row % 2 === 1;
  return {
    ...readByEye(lengthCm, uCm),
    sensorScaleCm: forward ? along : 100 - along,
    scaleSense: forward ? 1 : -1,
    row,
  };
}

/** Sets of a bench with this ratio and end correction, one for each length of cell 2. */
export const setsOf = (ratio: number, alphaCm: number, lengths2: readonly number[]): ComparisonSet[] =>
  lengths2.map((l2, index) => ({
    set: index + 1,
    driverMa: (1.32 / ((l2 + alphaCm) * 20)) * 1e6,
    l1: sensed(ratio * (l2 + alphaCm) - alphaCm),
    l2: sensed(l2),
  }));
