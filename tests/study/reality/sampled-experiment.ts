import { type OutsideBench, placeOf } from '../../independent-recordings/writer/bench.ts';
import { OutsideRun } from '../../independent-recordings/writer/run.ts';
import { BOARD, fineNull, SWEEPS } from '../../independent-recordings/writer/student.ts';
import { drawCell, type InTime, largestChange } from './cells.ts';
import { type Chance, chanceFrom } from './chance.ts';
import { type Cell, type Design, drawDesign } from './design.ts';
import { type Conditions, drawJump, type Reality } from './experiment.ts';
import { drawScaleError } from './scale.ts';
import { ORDINARY } from './sizes.ts';
import { endCorrectionCm, knowledgeOf } from './statements.ts';
import { drawWire } from './wire.ts';
import { type WrittenFault, writtenBench } from './written-bench.ts';

/** One comparison as a recording that the independent writer wrote at a physical bench, with its truth. */

export interface SampledConditions extends Omit<Conditions, 'blunder' | 'endCm'> {
  fault?: WrittenFault | 'row said wrong once';
}

export interface SampledExperiment {
  text: string;
  /** EMFs in time, in seconds since the first sample. */
  emf: Record<Cell, InTime>;
  /** What is so between two times; only the program knows which nulls it used. */
  realityOver(fromS: number, toS: number): Reality;
}

/** Slow enough for a hundred runs, and no multiple of the mains. */
const RATE_HZ = 80;

export function drawSampled(conditions: SampledConditions, seed: number): SampledExperiment {
  const chance = chanceFrom(seed);
  const design = drawDesign({ sets: [2, 3, 4, 4, 6], minutes: [2, 12], ...conditions.design }, chance);
  const sizes = typeof conditions.sizes === 'function' ? conditions.sizes(chance) : conditions.sizes;
  const jump = drawJump(conditions, design, chance);
  const cell = (which: Cell) =>
    drawCell(design.emf[which], sizes, chance, jump?.cell === which ? jump : null);
  const emf = { 1: cell(1), 2: cell(2) };
  const wire = drawWire(sizes, chance);
  const statement = chance.oneOf(conditions.statements);
  const knowledge = knowledgeOf(statement, wire, sizes, design.minutes, chance);
  const { fault } = conditions;
  const run = new OutsideRun({
    seed,
    board: { ...BOARD, rateHz: RATE_HZ },
    bench: writtenBench(wire, design, knowledge, fault === 'row said wrong once' ? undefined : fault, chance),
    emfFactor: (which, tS) => emf[which](tS) / design.emf[which],
    scaleErrorCm: drawScaleError(sizes, chance),
    driftPerS: (-sizes.driver * ORDINARY.driverPerMin) / 60,
  });
  const rowsTaken = perform(run, design);
  if (fault === 'row said wrong once') sayRowWrong(run, rowsTaken, wire.rows, chance);
  return {
    text: run.text,
    emf,
    realityOver: (fromS, toS) => ({
      sizes,
      statement,
      design: { ...design, order: design.order.join('-') },
      endCm: endCorrectionCm(wire),
      emfChange: Math.max(largestChange(emf[1], fromS, toS), largestChange(emf[2], fromS, toS)),
      jumped: jump !== null,
      blunder: fault ?? null,
    }),
  };
}

/**
 * Both cells at every setting of the rheostat, in the design's order and about at its times, each null by sweeps both ways.
 * @returns the row of each
 */
function perform(run: OutsideRun, design: Design): number[] {
  const rows: number[] = [];
  run.open();
  run.hello();
  run.lift(1.5);
  const startS = run.tS;
  for (const [set, times] of design.timesS.entries()) {
    const ohm = rheostatOhm(run.bench, design, set);
    if (set === 0) run.setting.rheostatOhm = ohm;
    else run.useRheostat(ohm);
    run.message({ kind: 'set', set: set + 1 });
    for (const [index, tS] of times.entries()) {
      run.useCell(design.order[index]);
      run.lift(Math.max(1, startS + tS - run.tS));
      rows.push(placeOf(run.bench, run.truthCm()).row);
      fineNull(run, SWEEPS);
    }
  }
  run.lift(2);
  return rows;
}

/** So that the larger EMF balances where the design wants it. */
function rheostatOhm({ circuit }: OutsideBench, design: Design, set: number): number {
  const { wireOhm, endAOhm, endBOhm, driverOhm, driverV } = circuit;
  const larger = Math.max(design.emf[1], design.emf[2]);
  return (driverV * design.largerAt[set] * wireOhm) / larger - wireOhm - endAOhm - endBOhm - driverOhm;
}

/** One cell of one set is put down to the row beside; every cell gives two nulls, one a way. */
function sayRowWrong(run: OutsideRun, rowsTaken: readonly number[], rows: number, chance: Chance): void {
  const at = Math.floor(chance.uniform() * rowsTaken.length);
  const row = rowsTaken[at];
  const wrong = row === rows ? row - 1 : row + 1;
  for (const id of [2 * at + 1, 2 * at + 2]) run.message({ kind: 'assign', null: `n${id}`, row: wrong });
}
