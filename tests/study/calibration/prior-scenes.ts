import type { BenchKnowledge } from '../../../bridge/calc-core/balancing-length.ts';

/** Bench files of simulation-based calibration: the priors are what each leaves open. */

const silent = (wireResistanceOhm: number): BenchKnowledge => ({
  wireLengthCm: 1000,
  rowLengthCm: 100,
  wireResistanceOhm,
  position: null,
  endCorrection: null,
  uniformityRelative: null,
  rowSpreadRelative: null,
  turnCorrectionCm: null,
  thermalEmfUv: null,
  steadyRelativePerMin: { 1: null, 2: null },
});

const stated: BenchKnowledge = {
  ...silent(20),
  position: { standardUncertaintyCm: 0.03, correlationCm: 15 },
  endCorrection: { valueCm: 0.3, standardUncertaintyCm: 0.2 },
  uniformityRelative: 0.0003,
  rowSpreadRelative: 0.001,
  turnCorrectionCm: { valueCm: 0.1, standardUncertaintyCm: 0.03 },
  thermalEmfUv: 3,
  steadyRelativePerMin: { 1: 3e-5, 2: 3e-5 },
};

export const PRIOR_SCENES: readonly { name: string; bench: BenchKnowledge }[] = [
  { name: 'everything stated', bench: stated },
  { name: 'a silent file, 20 ohm', bench: silent(20) },
  { name: 'a silent file, 6 ohm', bench: silent(6) },
  { name: 'only the end correction stated', bench: { ...silent(20), endCorrection: stated.endCorrection } },
  { name: 'all but the end correction stated', bench: { ...stated, endCorrection: null } },
];
