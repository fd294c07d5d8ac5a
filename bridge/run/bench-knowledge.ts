import { type Bench, correlationCmOf } from '../bench/bench-file.ts';
import { wireLengthCm } from '../bench/geometry.ts';
import type { BenchKnowledge } from '../calc-core/balancing-length.ts';

/** What the bench file tells the calculations; null where it is silent. */
export const knowledgeOf = (bench: Bench): BenchKnowledge => ({
  wireLengthCm: wireLengthCm(bench.wire),
  rowLengthCm: bench.wire.rowLengthCm,
  wireResistanceOhm: bench.wire.resistanceOhm,
  position:
    bench.position === undefined
      ? null
      : {
          standardUncertaintyCm: bench.position.standardUncertaintyCm,
          correlationCm: correlationCmOf(bench),
        },
  endCorrection: bench.endCorrection ?? null,
  uniformityRelative: bench.wire.uniformityRelative ?? null,
  rowSpreadRelative: bench.wire.rowSpreadRelative ?? null,
  turnCorrectionCm: bench.wire.turnCorrectionCm ?? null,
  thermalEmfUv: bench.thermalEmfUv ?? null,
  steadyRelativePerMin: {
    1: bench.cells?.['1']?.steadyRelativePerMin ?? null,
    2: bench.cells?.['2']?.steadyRelativePerMin ?? null,
  },
});
