import type {
  BalancingLength,
  BenchKnowledge,
  ComparisonSet,
} from '../../../bridge/calc-core/balancing-length.ts';
import { type BlunderKind, type Written, withBlunder } from './blunders.ts';
import { drawCell, drawDriver, drawThermal, type InTime, type Jump, meanOver } from './cells.ts';
import { type Chance, chanceFrom } from './chance.ts';
import { type Cell, type Design, type DesignLimits, drawDesign } from './design.ts';
import { drawReader, type Reader } from './scale.ts';
import type { Sizes } from './sizes.ts';
import { endCorrectionCm, knowledgeOf, type Statement } from './statements.ts';
import { drawWire, placeAtOhm, type Wire } from './wire.ts';

/** One run at one physical bench, as balancing lengths, with its truth. */

export interface Conditions {
  sizes: Sizes | ((chance: Chance) => Sizes);
  statements: readonly Statement[];
  design?: DesignLimits;
  /** Chance of one blunder in the run, and which they may be. */
  blunder?: { probability: number; kinds: readonly BlunderKind[] };
  /** Chance of a jump of one cell's EMF in mid-run, and its relative size. */
  jump?: { probability: number; relative: number };
  /** Benches with a smaller end correction are drawn again. */
  leastEndCm?: number;
}

/** What is really so, for judging what a finding names. */
export interface Reality {
  sizes: Sizes;
  statement: Statement;
  design: Design;
  endCm: number;
  /** Largest relative change of either EMF between first and last null. */
  emfChange: number;
  jumped: boolean;
  blunder: BlunderKind | null;
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

interface Bench {
  wire: Wire;
  reader: Reader;
  zeroLeft: boolean;
  emf: Record<Cell, InTime>;
  thermal: Record<Cell, InTime>;
  driver: (tS: number, sinceChangeS: number) => number;
}

interface Null extends Written {
  tS: number;
  currentA: number;
}

function tryExperiment(conditions: Conditions, chance: Chance): Experiment | null {
  const design = drawDesign(conditions.design ?? {}, chance);
  const sizes = typeof conditions.sizes === 'function' ? conditions.sizes(chance) : conditions.sizes;
  const jump = drawJump(conditions, design, chance);
  const bench = drawBench(design, sizes, jump, chance);
  const { wire } = bench;
  const statement = chance.oneOf(conditions.statements);
  const knowledge = knowledgeOf(statement, wire, sizes, design.minutes, chance);
  const endCm = endCorrectionCm(wire);
  if (endCm < (conditions.leastEndCm ?? Number.NEGATIVE_INFINITY)) return null;
  const nulls = takeNulls(bench, design);
  if (nulls === null) return null;
  const { probability, kinds } = conditions.blunder ?? { probability: 0, kinds: [] };
  const blunder = chance.yes(probability) ? chance.oneOf(kinds) : null;
  const noted = blunder === null ? nulls : withBlunder(nulls, blunder, wire.rows, chance);
  const lastS = nulls[nulls.length - 1].tS;
  return {
    sets: inSets(
      noted.map((one, index) => ({ ...nulls[index], ...one })),
      bench,
      design,
      chance,
    ),
    bench: knowledge,
    truth: meanOver(bench.emf[1], 0, lastS) / meanOver(bench.emf[2], 0, lastS),
    reality: {
      sizes,
      statement,
      design,
      endCm,
      emfChange: Math.max(changeOf(bench.emf[1], lastS), changeOf(bench.emf[2], lastS)),
      jumped: jump !== null,
      blunder,
    },
  };
}

function drawJump({ jump }: Conditions, design: Design, chance: Chance): (Jump & { cell: Cell }) | null {
  if (jump === undefined || !chance.yes(jump.probability)) return null;
  const relative = chance.sign() * jump.relative;
  return { cell: chance.oneOf([1, 2]), relative, atS: chance.between(0.15, 0.85) * design.minutes * 60 };
}

function drawBench(
  design: Design,
  sizes: Sizes,
  jump: (Jump & { cell: Cell }) | null,
  chance: Chance,
): Bench {
  const cell = (which: Cell) =>
    drawCell(design.emf[which], sizes, chance, jump?.cell === which ? jump : null);
  return {
    wire: drawWire(sizes, chance),
    reader: drawReader(sizes, design.byEye, chance),
    zeroLeft: chance.yes(0.5),
    emf: { 1: cell(1), 2: cell(2) },
    thermal: { 1: drawThermal(sizes, chance), 2: drawThermal(sizes, chance) },
    driver: drawDriver(sizes, chance),
  };
}

function changeOf(emf: InTime, lastS: number): number {
  const values = Array.from({ length: 41 }, (_, step) => emf((lastS * step) / 40));
  return (Math.max(...values) - Math.min(...values)) / values[0];
}

/** The jockey finds the place whose potential is the cell's EMF at that moment; null where the wire has none. */
function takeNulls(bench: Bench, design: Design): Null[] | null {
  const nulls: Null[] = [];
  const { wire, emf, thermal } = bench;
  const larger = Math.max(design.emf[1], design.emf[2]);
  for (const [set, times] of design.timesS.entries()) {
    for (const [index, tS] of times.entries()) {
      const cell = design.order[index];
      const sinceS = tS - times[0] + 15;
      const currentA = (larger / (design.largerAt[set] * wire.ohm)) * bench.driver(tS, sinceS);
      const place = placeAtOhm(wire, (emf[cell](tS) + thermal[cell](tS)) / currentA);
      if (place === null) return null;
      const withScale = (place.row % 2 === 1) === bench.zeroLeft;
      const scaleCm = bench.reader.read(withScale ? place.alongCm : wire.rowCm - place.alongCm);
      nulls.push({ set, cell, row: place.row, scaleCm, stretched: 1, tS, currentA });
    }
  }
  return nulls;
}

function inSets(nulls: readonly Null[], bench: Bench, design: Design, chance: Chance): ComparisonSet[] {
  return design.timesS.map((_, set) => {
    const ofSet = nulls.filter((one) => one.set === set);
    const currentA = mean(ofSet.map((one) => one.currentA));
    const lengthOf = (cell: Cell) =>
      combined(
        ofSet.filter((one) => one.cell === cell),
        currentA,
        bench,
        design,
        chance,
      );
    return { set: set + 1, driverMa: 1000 * currentA, l1: lengthOf(1), l2: lengthOf(2) };
  });
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

/** Length from A that a scale reading on a row stands for; rows run to and fro. */
const lengthCm = ({ row, scaleCm }: Written, { wire, zeroLeft }: Bench): number =>
  sense(row, zeroLeft) === 1 ? (row - 1) * wire.rowCm + scaleCm : row * wire.rowCm - scaleCm;

const sense = (row: number, zeroLeft: boolean): 1 | -1 => ((row % 2 === 1) === zeroLeft ? 1 : -1);

/** The nulls of one cell in one set as one length, brought to the set's current. */
function combined(
  nulls: readonly Null[],
  currentA: number,
  bench: Bench,
  { byEye, currentNoise }: Design,
  chance: Chance,
): BalancingLength {
  const brought = nulls.map(
    (one) =>
      (lengthCm(one, bench) * one.stretched * one.currentA * (1 + currentNoise * chance.normal())) / currentA,
  );
  const [first] = nulls;
  const share = 1 / nulls.length;
  return {
    lengthCm: mean(brought),
    ...ownUncertainty(brought, bench.reader.noiseCm, currentNoise, chance),
    common: {},
    sensorScaleCm: byEye ? null : mean(nulls.map((one) => one.scaleCm)),
    ...(byEye || nulls.length === 1 ? {} : { places: nulls.map((one) => placeOf(one, bench, share)) }),
    scaleSense: sense(first.row, bench.zeroLeft),
    row: first.row,
    atS: mean(nulls.map((one) => one.tS)),
  };
}

const placeOf = (one: Null, bench: Bench, share: number) => ({
  share,
  sensorScaleCm: one.scaleCm,
  scaleSense: sense(one.row, bench.zeroLeft),
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
