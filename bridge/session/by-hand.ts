import type { Procedure } from '../run/procedure.ts';
import { DEFAULT_SCENE, type ScenePatch, sceneWith } from '../simulate/default-scene.ts';
import { HandCommands } from '../simulate/hand-commands.ts';
import { simulateRun } from '../simulate/simulate-run.ts';
import type { Switches } from '../simulate/steps.ts';
import { PacedSource } from './paced-source.ts';

export interface HandBenchOptions {
  seed: number;
  /** 1 is real time. */
  speed: number;
  procedure: Procedure;
  /** A board that senses the two currents and nothing else. */
  plainBoard: boolean;
}

const PLAIN_BOARD: ScenePatch['board'] = {
  channels: { pos: null },
  senses: { contact: false, cellKey: false, protect: false, row: false, load: false },
};

/** A simulated bench that is worked from the page, and what it is made of. */
export function byHandBench({ seed, speed, procedure, plainBoard }: HandBenchOptions): {
  source: PacedSource;
  hand: HandCommands;
  title: string;
} {
  const { bench, hand: habits, apparatus } = DEFAULT_SCENE;
  const start = { row: 1, scaleCm: bench.wire.rowLengthCm / 2 };
  const switches: Switches = {
    // As the cautions have it: closed only while one reads.
    keyClosed: false,
    cell: 1,
    protect: true,
    load: false,
    loadOhm: apparatus.loadOhm,
    rheostatOhm: 4,
    leadOhm: 0,
  };
  const hand = new HandCommands(start, switches, {
    sweepCmPerS: 2.5,
    carryCmPerS: habits.carrySpeedCmPerS,
    rowLengthCm: bench.wire.rowLengthCm,
  });
  const scene = sceneWith({
    seed,
    about: { by: ['by hand, on the simulated bench (invented)'] },
    board: plainBoard ? PLAIN_BOARD : {},
    task: { kind: 'script', procedure, start: switches, silentOperator: true, steps: hand },
  });
  return {
    source: new PacedSource('simulated', simulateRun(scene), speed),
    hand,
    title: bench.name,
  };
}
