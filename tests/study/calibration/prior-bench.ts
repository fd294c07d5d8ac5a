import { type FullKnowledge, ORDINARY } from '../../../bridge/calc-core/assumed-sizes.ts';
import type { NormalPart } from '../../../bridge/calc-core/mixture.ts';
import { BEND, sizeScenarios, WANDER_MIN } from '../../../bridge/calc-core/scaled-effects.ts';
import { smoothError } from '../../independent-recordings/writer/noise.ts';
import type { Bench } from '../reality/bench.ts';
import type { InTime } from '../reality/cells.ts';
import type { Chance } from '../reality/chance.ts';
import { summed, type Wire, wireOf } from '../reality/wire.ts';

/**
 * A bench drawn from the priors that the calculation itself works with. The priors are taken from it as numbers; what they do to
 * a wire, a scale and a cell is written here anew, so that an error in the calculation's own columns and covariances shows.
 */

/** Factors on the sizes of walk, rows and cells. */
export interface DrawnSizes {
  walk: number;
  rows: number;
  cells: number;
}

function drawnBy<One extends { probability: number }>(list: readonly One[], chance: Chance): One {
  let left = chance.uniform() * list.reduce((sum, { probability }) => sum + probability, 0);
  for (const one of list) {
    left -= one.probability;
    if (left <= 0) return one;
  }
  return list[list.length - 1];
}

export function drawSizes(bench: FullKnowledge, chance: Chance): DrawnSizes {
  const [walk, rows, cells] = drawnBy(sizeScenarios(bench), chance).factors;
  return { walk, rows, cells };
}

function drawEndCm(parts: readonly NormalPart[], chance: Chance): number {
  const { mean, variance } = drawnBy(
    parts.map((part) => ({ ...part, probability: part.weight })),
    chance,
  );
  return mean + Math.sqrt(variance) * chance.normal();
}

/** A random walk, a taper, rows of their own, strips and an end correction. */
export function priorWire(bench: FullKnowledge, sizes: DrawnSizes, chance: Chance): Wire {
  const { wireLengthCm, rowLengthCm, wireResistanceOhm, turnCorrectionCm: turn } = bench;
  const rows = Math.round(wireLengthCm / rowLengthCm);
  const perCm = wireResistanceOhm / wireLengthCm;
  const u = sizes.walk * bench.uniformityRelative;
  const taper = taperOf(bench) * chance.normal();
  const rowOhm = Array.from({ length: rows }, (_, row) => {
    const own = sizes.rows * bench.rowSpreadRelative * chance.normal();
    return summed((cm) => {
      const along = row * rowLengthCm + cm;
      const walked = u * Math.sqrt(wireLengthCm) * chance.normal();
      return perCm * (1 + own + walked + taper * (1 - (2 * along) / wireLengthCm));
    });
  });
  const strips = Array.from(
    { length: rows - 1 },
    () => perCm * (turn.valueCm + turn.standardUncertaintyCm * chance.normal()),
  );
  return wireOf(rowOhm, strips, perCm * drawEndCm(bench.endCorrection, chance), wireResistanceOhm);
}

/** A taper is as large as it ordinarily is, or smaller where the wire is stated to be more even. */
function taperOf({ uniformityRelative, wireLengthCm }: FullKnowledge): number {
  const ordinary = ORDINARY.walkPer10Cm * Math.sqrt(10 / wireLengthCm);
  return ORDINARY.taperRelative * Math.min(1, uniformityRelative / ordinary);
}

/** Steady drift, a bend and a Wiener process beside it, as relative change. */
export function priorCell(emfV: number, ratePerMin: number, lastS: number, chance: Chance): InTime {
  const steps = 2000;
  const stepMin = lastS / 60 / steps;
  const walked = [0];
  for (let step = 0; step < steps; step += 1) {
    walked.push(walked[step] + Math.sqrt(WANDER_MIN * stepMin) * chance.normal());
  }
  const [drift, bend] = [chance.normal(), BEND * chance.normal()];
  const halfMin = lastS / 120;
  return (tS) => {
    const at = Math.min(steps, Math.max(0, (tS / lastS) * steps));
    const step = Math.min(steps - 1, Math.floor(at));
    const wandered = walked[step] + (at - step) * (walked[step + 1] - walked[step]);
    const x = (2 * tS) / lastS - 1;
    return emfV * (1 + ratePerMin * (halfMin * (drift * x + bend * (x * x - 1 / 3)) + wandered));
  };
}

export function priorBench(bench: FullKnowledge, sizes: DrawnSizes, chance: Chance): Bench {
  const { standardUncertaintyCm, correlationCm } = bench.position;
  const error = smoothError(standardUncertaintyCm, correlationCm, chance.uniform);
  const noiseCm = chance.logBetween(0.003, 0.05);
  const [first, second] = [chance.normal(), chance.normal()].map((one) => bench.thermalEmfUv * 1e-6 * one);
  return {
    wire: priorWire(bench, sizes, chance),
    reader: { byEye: false, noiseCm, read: (x) => x + error(x) + noiseCm * chance.normal() },
    zeroLeft: chance.yes(0.5),
    thermal: { 1: () => first, 2: () => second },
    driver: () => 1,
  };
}
