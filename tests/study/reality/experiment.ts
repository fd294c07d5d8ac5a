import type { BenchKnowledge, ComparisonSet } from '../../../bridge/calc-core/balancing-length.ts';
import { type Bench, drawBench, type Null, nullAt } from './bench.ts';
import { type BlunderKind, withBlunder } from './blunders.ts';
import { drawCell, type InTime, type Jump, largestChange, meanOver } from './cells.ts';
import { type Chance, chanceFrom } from './chance.ts';
import { type Cell, type Design, type DesignLimits, drawDesign } from './design.ts';
import { combined, mean } from './lengths.ts';
import type { Sizes } from './sizes.ts';
import { endCorrectionCm, knowledgeOf, type Statement } from './statements.ts';

/** One comparison at one physical bench, as balancing lengths, with its truth. */

export interface Conditions {
  sizes: Sizes | ((chance: Chance) => Sizes);
  statements: readonly Statement[];
  design?: DesignLimits;
  /** Chance of one blunder in the run, and which they may be. */
  blunder?: { probability: number; kinds: readonly BlunderKind[] };
  /** Chance of a jump of one cell's EMF in mid-run, and its relative size. */
  jump?: { probability: number; relative: number };
  /** Benches with an end correction outside this are drawn again. */
  endCm?: readonly [least: number, most: number];
}

/** What is really so, for judging what a finding names. */
export interface Reality {
  sizes: Sizes;
  statement: Statement;
  design: { sets: number; order: string; minutes: number; byEye: boolean };
  endCm: number;
  /** Largest relative change of either EMF between first and last null, as it would change the result. */
  emfChange: number;
  jumped: boolean;
  /** What somebody did wrong, in words. */
  blunder: string | null;
}

export interface Experiment {
  sets: ComparisonSet[];
  bench: BenchKnowledge;
  /** Ratio of the two EMFs, each averaged over the time from the first null to the last. */
  truth: number;
  reality: Reality;
}

/** Draws until every null lies on the wire. */
export function drawExperiment(conditions: Conditions, seed: number): Experiment {
  const chance = chanceFrom(seed);
  for (;;) {
    const experiment = tryExperiment(conditions, chance);
    if (experiment !== null) return experiment;
  }
}

function tryExperiment(conditions: Conditions, chance: Chance): Experiment | null {
  const { sizes: given, statements, endCm: limits } = conditions;
  const design = drawDesign(conditions.design ?? {}, chance);
  const sizes = typeof given === 'function' ? given(chance) : given;
  const jump = drawJump(conditions, design, chance);
  const bench = drawBench(sizes, design.byEye, chance);
  const cell = (which: Cell) =>
    drawCell(design.emf[which], sizes, chance, jump?.cell === which ? jump : null);
  const emf = { 1: cell(1), 2: cell(2) };
  const statement = chance.oneOf(statements);
  const knowledge = knowledgeOf(statement, bench.wire, sizes, design.minutes, chance);
  const endCm = endCorrectionCm(bench.wire);
  const wanted = limits === undefined || (endCm >= limits[0] && endCm <= limits[1]);
  const nulls = wanted ? takeNulls(bench, design, emf) : null;
  if (nulls === null) return null;
  const { noted, blunder } = blundered(nulls, conditions, bench, chance);
  const lastS = nulls[nulls.length - 1].tS;
  const emfChange = Math.max(largestChange(emf[1], 0, lastS), largestChange(emf[2], 0, lastS));
  return {
    sets: inSets(noted, bench, design, chance),
    bench: knowledge,
    truth: meanOver(emf[1], 0, lastS) / meanOver(emf[2], 0, lastS),
    reality: {
      sizes,
      statement,
      design: { ...design, order: design.order.join('-') },
      endCm,
      emfChange,
      jumped: jump !== null,
      blunder,
    },
  };
}

/** In mid-run, of either cell. */
export function drawJump(
  { jump }: Pick<Conditions, 'jump'>,
  design: Design,
  chance: Chance,
): (Jump & { cell: Cell }) | null {
  if (jump === undefined || !chance.yes(jump.probability)) return null;
  const relative = chance.sign() * jump.relative;
  return { cell: chance.oneOf([1, 2]), relative, atS: chance.between(0.15, 0.85) * design.minutes * 60 };
}

function blundered(nulls: Null[], { blunder }: Conditions, bench: Bench, chance: Chance) {
  if (blunder === undefined || !chance.yes(blunder.probability)) return { noted: nulls, blunder: null };
  const kind = chance.oneOf(blunder.kinds);
  return { noted: withBlunder(nulls, kind, bench.wire.rows, chance), blunder: kind };
}

function takeNulls(bench: Bench, design: Design, emf: Record<Cell, InTime>): Null[] | null {
  const nulls: Null[] = [];
  const larger = Math.max(design.emf[1], design.emf[2]);
  for (const [set, times] of design.timesS.entries()) {
    const setA = larger / (design.largerAt[set] * bench.wire.ohm);
    for (const [index, tS] of times.entries()) {
      const cell = design.order[index];
      const found = nullAt(bench, { set, cell, tS, sinceS: tS - times[0], setA, volts: emf[cell](tS) });
      if (found === null) return null;
      nulls.push(found);
    }
  }
  return nulls;
}

function inSets(nulls: readonly Null[], bench: Bench, design: Design, chance: Chance): ComparisonSet[] {
  return design.timesS.map((_, set) => {
    const ofSet = nulls.filter((one) => one.set === set);
    const currentA = mean(ofSet.map((one) => one.currentA));
    const lengthOf = (cell: Cell) => {
      const ofCell = ofSet.filter((one) => one.cell === cell);
      return combined(ofCell, currentA, bench, design, chance);
    };
    return { set: set + 1, driverMa: 1000 * currentA, l1: lengthOf(1), l2: lengthOf(2) };
  });
}
