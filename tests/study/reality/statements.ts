import type { BenchKnowledge } from '../../../bridge/calc-core/balancing-length.ts';
import type { Chance } from './chance.ts';
import { ORDINARY, type Sizes } from './sizes.ts';
import type { Wire } from './wire.ts';

/** What the bench file says of the bench: nothing, the truth about the size of everything, or one thing that is tight. */
export type Statement = 'silent' | 'honest' | 'tight end' | 'false end';

/** @param minutes that the run takes, for what a cell's steadiness over it comes to in a minute */
export function knowledgeOf(
  statement: Statement,
  wire: Wire,
  sizes: Sizes,
  minutes: number,
  chance: Chance,
): BenchKnowledge {
  const endCm = endCorrectionCm(wire);
  const silent = silentBench(wire, chance);
  if (statement === 'honest') return honest(silent, wire, sizes, endCm, minutes, chance);
  const off = chance.normal();
  if (statement === 'tight end') return withEnd(silent, endCm + 0.05 * off, 0.05);
  // ten times as far off as it says
  if (statement === 'false end') return withEnd(silent, endCm + chance.sign() * (1 + Math.abs(off)), 0.1);
  return silent;
}

/** End correction as length of even wire. */
export const endCorrectionCm = (wire: Wire): number => (wire.endAOhm * wire.rows * wire.rowCm) / wire.ohm;

const withEnd = (bench: BenchKnowledge, valueCm: number, standardUncertaintyCm: number): BenchKnowledge => ({
  ...bench,
  endCorrection: { valueCm, standardUncertaintyCm },
});

/** Nothing but what every file must hold; whoever has a sensor often copies its uncertainty from the example. */
const silentBench = (wire: Wire, chance: Chance): BenchKnowledge => ({
  wireLengthCm: wire.rows * wire.rowCm,
  rowLengthCm: wire.rowCm,
  wireResistanceOhm: wire.ohm,
  position: chance.yes(0.5) ? { standardUncertaintyCm: 0.03, correlationCm: 15 } : null,
  endCorrection: null,
  uniformityRelative: null,
  rowSpreadRelative: null,
  turnCorrectionCm: null,
  thermalEmfUv: null,
  steadyRelativePerMin: { 1: null, 2: null },
});

/** Nobody states less than a quarter of an ordinary size of anything. */
const said = (size: number): number => Math.max(0.25, size);

function honest(
  bench: BenchKnowledge,
  wire: Wire,
  sizes: Sizes,
  endCm: number,
  minutes: number,
  chance: Chance,
): BenchKnowledge {
  const wireCm = wire.rows * wire.rowCm;
  const perOhm = wireCm / wire.ohm;
  return {
    ...withEnd(bench, endCm + 0.3 * chance.normal(), 0.3),
    position: {
      standardUncertaintyCm: Math.hypot(
        0.8 * said(sizes.scale) * ORDINARY.scaleBowCm,
        sizes.edge * ORDINARY.edgeCm,
      ),
      correlationCm: 15,
    },
    uniformityRelative: evenness(sizes, wireCm),
    turnCorrectionCm: {
      valueCm: sizes.strips * ORDINARY.stripOhm * perOhm,
      standardUncertaintyCm: Math.hypot(
        0.4 * said(sizes.strips) * ORDINARY.stripOhm * perOhm,
        sizes.pins * ORDINARY.pinCm,
      ),
    },
    thermalEmfUv: said(sizes.thermal) * ORDINARY.thermalV * 1e6,
    rowSpreadRelative: said(sizes.rows) * ORDINARY.rows,
    steadyRelativePerMin: steadiness(sizes, minutes),
  };
}

/** No field states a taper, so whoever measures a wire states a walk that reaches as far: a taper t is worth t·L/4 at the middle. */
const evenness = (sizes: Sizes, wireCm: number): number =>
  Math.hypot(
    said(sizes.walk) * ORDINARY.walkPer10Cm * Math.sqrt(10 / wireCm),
    (sizes.taper * ORDINARY.taper) / (4 * Math.SQRT1_2),
  );

function steadiness(sizes: Sizes, minutes: number): { 1: number; 2: number } {
  const swing = Math.hypot(sizes.recovery * ORDINARY.recovery, sizes.temperature * ORDINARY.temperature);
  const perMin = Math.hypot(said(sizes.drift) * ORDINARY.cellPerMin, swing / minutes);
  return { 1: perMin, 2: perMin };
}
