import type { BenchChoice } from './bench.ts';
import { outsideBench } from './bench.ts';
import type { BoardSpec } from './board.ts';
import { ALL } from './board.ts';
import type { RunChoice } from './run.ts';
import { OutsideRun } from './run.ts';

/** What a student does at the bench, as the outside writer makes it. */

export const BOARD: BoardSpec = {
  name: 'OUTSIDE-1',
  rateHz: 200,
  bits: 12,
  senses: ALL,
  channels: ['gal', 'pos', 'drv'],
  firstSeq: 0,
  firstTUs: 0,
};

export interface Choice extends Partial<Omit<RunChoice, 'board' | 'bench'>> {
  board?: Partial<BoardSpec>;
  bench?: BenchChoice;
}

/** A run with its opening events, the board's introduction and a lifted jockey behind it. */
export function begin(choice: Choice = {}): OutsideRun {
  const { board, bench, ...rest } = choice;
  const spec = { ...BOARD, ...board };
  const run = new OutsideRun({
    seed: 1,
    ...rest,
    board: spec,
    bench: outsideBench({ bits: spec.bits, ...bench }),
  });
  run.open();
  run.hello();
  run.lift(1.5);
  return run;
}

export interface Fine {
  by: 'sweeps' | 'one-way' | 'taps';
  reachCm: number;
  seconds: number;
}

export const SWEEPS: Fine = { by: 'sweeps', reachCm: 4, seconds: 4 };

/** Both ends with the protective resistance in. */
export function tapEnds(run: OutsideRun): void {
  run.useProtection(true);
  run.tap(4);
  run.tap(996);
}

export function fineNull(run: OutsideRun, fine: Fine): void {
  run.useProtection(false);
  run.lift(0.6);
  if (fine.by === 'taps') {
    run.tapsAbout([-1.6, 1.5, -0.7, 0.8, -0.2, 0.3]);
    return;
  }
  run.sweepNull(1, fine.reachCm, fine.seconds);
  if (fine.by === 'sweeps') run.sweepNull(-1, fine.reachCm, fine.seconds);
}

export interface SetTruth {
  set: number;
  l1Cm: number;
  l2Cm: number;
  /** Driver current at the balance, in mA. */
  driverMa: number;
}

export interface Comparison {
  rheostatsOhm?: number[];
  order?: (1 | 2)[];
  fine?: Fine;
  ends?: boolean;
  recordsSets?: boolean;
  /** Key opened between the sets. */
  opensKey?: boolean;
}

export function takeSet(
  run: OutsideRun,
  set: number,
  { order = [1, 2], fine = SWEEPS, ends = false }: Comparison,
): SetTruth {
  for (const cell of order) {
    run.useCell(cell);
    run.lift(0.4);
    if (ends) tapEnds(run);
    fineNull(run, fine);
  }
  const { circuit } = run.bench;
  const ohm =
    circuit.endAOhm + circuit.wireOhm + circuit.endBOhm + circuit.driverOhm + run.setting.rheostatOhm;
  return { set, l1Cm: run.truthCm(1), l2Cm: run.truthCm(2), driverMa: (1000 * circuit.driverV) / ohm };
}

/** A comparison of both cells at several settings of the rheostat. */
export function compare(run: OutsideRun, how: Comparison = {}): SetTruth[] {
  const { rheostatsOhm = [8, 10.5] } = how;
  return rheostatsOhm.map((ohm, index) => {
    if (index === 0) run.setting.rheostatOhm = ohm;
    else changeRheostat(run, ohm, how);
    if (how.recordsSets) run.message({ kind: 'set', set: index + 1 });
    run.lift(2.5);
    return takeSet(run, index + 1, how);
  });
}

function changeRheostat(run: OutsideRun, ohm: number, how: Comparison): void {
  if (how.opensKey) {
    run.setting.keyClosed = false;
    run.lift(4);
    run.setting.rheostatOhm = ohm;
    run.lift(2);
    run.setting.keyClosed = true;
    run.lift(3);
  } else run.useRheostat(ohm);
}
