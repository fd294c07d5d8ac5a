import { type FullKnowledge, fillGaps } from '../../../bridge/calc-core/assumed-sizes.ts';
import type { BenchKnowledge, ComparisonSet } from '../../../bridge/calc-core/balancing-length.ts';
import { comparisonTask } from '../../../bridge/calc-core/comparison-model.ts';
import { slipsOf } from '../../../bridge/calc-core/scaled-effects.ts';
import { type Bench, nullAt } from '../reality/bench.ts';
import { type InTime, meanOver } from '../reality/cells.ts';
import { type Chance, chanceFrom } from '../reality/chance.ts';
import { type Cell, type Design, drawDesign, PLAIN } from '../reality/design.ts';
import { combined } from '../reality/lengths.ts';
import { drawSizes, priorBench, priorCell } from './prior-bench.ts';

/** One comparison at a bench from the priors, slips as often as the priors have them. */

export interface PriorRun {
  sets: ComparisonSet[];
  bench: BenchKnowledge;
  truth: number;
}

export function drawPriorRun(bench: BenchKnowledge, seed: number): PriorRun {
  const chance = chanceFrom(seed);
  for (;;) {
    const run = tryPriorRun(bench, chance);
    if (run !== null) return run;
  }
}

function tryPriorRun(bench: BenchKnowledge, chance: Chance): PriorRun | null {
  const full = fillGaps(bench);
  const sizes = drawSizes(full, chance);
  const design = drawDesign(
    { sets: [1, 2, 3, 4, 6], orders: [PLAIN], minutes: [1, 30], byEye: false },
    chance,
  );
  const real = priorBench(full, sizes, chance);
  const lastS = Math.max(...design.timesS.flat());
  const cell = (which: Cell) => {
    const rate = sizes.cells * full.steadyRelativePerMin[which];
    return priorCell(design.emf[which], rate, lastS, chance);
  };
  const emf = { 1: cell(1), 2: cell(2) };
  const sets = takeSets(real, design, emf, chance);
  if (sets === null) return null;
  const slipped = withSlips(sets, full, chance);
  return slipped.every(onWire(full))
    ? { sets: slipped, bench, truth: meanOver(emf[1], 0, lastS) / meanOver(emf[2], 0, lastS) }
    : null;
}

const onWire =
  ({ wireLengthCm }: FullKnowledge) =>
  ({ l1, l2 }: ComparisonSet): boolean =>
    Math.min(l1.lengthCm, l2.lengthCm) > 20 && Math.max(l1.lengthCm, l2.lengthCm) < wireLengthCm;

function takeSets(
  real: Bench,
  design: Design,
  emf: Record<Cell, InTime>,
  chance: Chance,
): ComparisonSet[] | null {
  const larger = Math.max(design.emf[1], design.emf[2]);
  const reading = { byEye: false, currentNoise: 1e-6 };
  const sets: ComparisonSet[] = [];
  for (const [set, times] of design.timesS.entries()) {
    const setA = larger / (design.largerAt[set] * real.wire.ohm);
    const nulls = times.map((tS, index) => {
      const which = design.order[index];
      return nullAt(real, { set, cell: which, tS, sinceS: 0, setA, volts: emf[which](tS) });
    });
    const [first, second] = nulls;
    if (first === null || second === null) return null;
    const lengthOf = (one: typeof first) => combined([one], setA, real, reading, chance);
    sets.push({ set: set + 1, driverMa: 1000 * setA, l1: lengthOf(first), l2: lengthOf(second) });
  }
  return sets;
}

/** Each slip happens by itself with its probability; it moves the upper lengths as its column says. */
function withSlips(sets: ComparisonSet[], full: FullKnowledge, chance: Chance): ComparisonSet[] {
  const purpose = { quantity: { quantity: 'E1/E2', unit: '1' }, factor: null } as const;
  const task = comparisonTask(sets, full, purpose);
  const slips = slipsOf(task.sets, task.lengths, task.inputs.length);
  const moves = slips.flatMap(({ column, sizes }) =>
    sizes.flatMap(({ u, probability }) =>
      chance.yes(probability) ? [column.map((one) => u * chance.normal() * one)] : [],
    ),
  );
  return sets.map((set, index) => {
    const moved = (at: number) => moves.reduce((sum, move) => sum + move[at], 0);
    const by = (at: number, length: ComparisonSet['l1']) => ({
      ...length,
      lengthCm: length.lengthCm + moved(at),
    });
    return { ...set, l1: by(2 * index, set.l1), l2: by(2 * index + 1, set.l2) };
  });
}
