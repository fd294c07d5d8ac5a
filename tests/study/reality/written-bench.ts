import type { BenchKnowledge } from '../../../bridge/calc-core/balancing-length.ts';
import { type OutsideBench, outsideBench } from '../../independent-recordings/writer/bench.ts';
import type { Chance } from './chance.ts';
import type { Design } from './design.ts';
import { ohmAlong, type Wire } from './wire.ts';

/** A drawn bench as the independent writer needs it, with the bench file that somebody wrote for it. */

export type WrittenFault = 'mark off by 1 cm' | 'zero end wrong';

/** The driver has so many times the voltage that its wire needs. */
const HEADROOM = 1.4;
const TOP_COUNTS = 4000;

export function writtenBench(
  wire: Wire,
  design: Design,
  knowledge: BenchKnowledge,
  fault: WrittenFault | undefined,
  chance: Chance,
): OutsideBench {
  const wireCm = wire.rows * wire.rowCm;
  const zeroEnd = chance.oneOf(['left', 'right'] as const);
  const points = chance.yes(0.5) || fault !== undefined ? 'many' : 'two';
  const drawn = outsideBench({ zeroEnd, points });
  const larger = Math.max(design.emf[1], design.emf[2]);
  const mostMa = (1000 * larger) / (Math.min(...design.largerAt) * wire.ohm);
  const driverV = HEADROOM * (mostMa / 1000) * (wire.ohm + 1);
  const bench: OutsideBench = {
    ...drawn,
    maPerCount: (1.2 * mostMa) / TOP_COUNTS,
    circuit: {
      ...drawn.circuit,
      wireCm,
      wireOhm: ohmAlong(wire, wireCm),
      ohmTo: (lengthCm) => ohmAlong(wire, lengthCm),
      endAOhm: wire.endAOhm,
      driverV,
      cells: { 1: { emfV: design.emf[1], ohm: 0.6 }, 2: { emfV: design.emf[2], ohm: 1.1 } },
    },
  };
  return { ...bench, file: fileOf(bench, wire, design, knowledge, fault, chance) };
}

const stated = <Value>(name: string, value: Value | null): Record<string, Value> =>
  value === null ? {} : { [name]: value };

function fileOf(
  bench: OutsideBench,
  wire: Wire,
  design: Design,
  knowledge: BenchKnowledge,
  fault: WrittenFault | undefined,
  chance: Chance,
): Record<string, unknown> {
  const { position, steadyRelativePerMin: steady } = knowledge;
  const otherEnd = bench.zeroEnd === 'left' ? 'right' : 'left';
  const { milliampsPerCount: _, ...ammeter } = bench.file.ammeter as Record<string, number>;
  return {
    ...bench.file,
    wire: {
      rows: wire.rows,
      rowLengthCm: wire.rowCm,
      resistanceOhm: wire.ohm,
      zeroEnd: fault === 'zero end wrong' ? otherEnd : bench.zeroEnd,
      ...stated('uniformityRelative', knowledge.uniformityRelative),
      ...stated('rowSpreadRelative', knowledge.rowSpreadRelative),
      ...stated('turnCorrectionCm', knowledge.turnCorrectionCm),
    },
    position: {
      points: fault === 'mark off by 1 cm' ? mistyped(bench.points, chance) : bench.points,
      standardUncertaintyCm: position?.standardUncertaintyCm ?? 0.03,
      correlationCm: position?.correlationCm ?? 15,
    },
    ...stated('endCorrection', knowledge.endCorrection),
    ...stated('thermalEmfUv', knowledge.thermalEmfUv),
    ammeter: { ...ammeter, milliampsPerCount: bench.maPerCount },
    driver: { emfV: bench.circuit.driverV },
    cells: Object.fromEntries(
      ([1, 2] as const).map((cell) => [
        cell,
        { voltmeterV: Number(design.emf[cell].toFixed(2)), ...stated('steadyRelativePerMin', steady[cell]) },
      ]),
    ),
  };
}

/** One of the inner marks of the calibration is typed a centimetre off. */
function mistyped(points: OutsideBench['points'], chance: Chance): OutsideBench['points'] {
  const at = 1 + Math.floor(chance.uniform() * (points.length - 2));
  const offCm = chance.sign();
  return points.map((point, index) => (index === at ? { ...point, scaleCm: point.scaleCm + offCm } : point));
}
