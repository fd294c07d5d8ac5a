import type { Bench } from '../bench/bench-file.ts';
import { wireLengthCm } from '../bench/geometry.ts';
import type { BenchKnowledge } from '../calc-core/balancing-length.ts';

/** Thermal EMFs of a copper and manganin or constantan circuit by hand, in microvolts (common practice, no source). */
const THERMAL_EMF_UV = 5;

/** What the bench file tells the calculations. */
export const knowledgeOf = (bench: Bench): BenchKnowledge => ({
  wireLengthCm: wireLengthCm(bench.wire),
  rowLengthCm: bench.wire.rowLengthCm,
  wireResistanceOhm: bench.wire.resistanceOhm,
  position: bench.position ?? null,
  endCorrection: bench.endCorrection,
  uniformityRelative: bench.wire.uniformityRelative ?? null,
  turnCorrectionCm: bench.wire.turnCorrectionCm ?? null,
  thermalEmfUv: bench.thermalEmfUv ?? THERMAL_EMF_UV,
});
