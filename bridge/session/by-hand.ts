import { sceneWith } from '../simulate/default-scene.ts';
import { Errands } from '../simulate/errands.ts';
import { simulateRun } from '../simulate/simulate-run.ts';
import { PacedSource } from './paced-source.ts';

/** A simulated bench that is worked from the page, and what it is made of; `speed` 1 is real time. */
export function byHandBench(
  seed: number,
  speed: number,
): { source: PacedSource; hand: Errands; title: string } {
  const plain = sceneWith({ seed });
  const { wire } = plain.bench;
  const start = { row: 1, scaleCm: wire.rowLengthCm / 2 };
  const switches = {
    keyClosed: true,
    cell: 1 as const,
    protect: true,
    load: false,
    rheostatOhm: 4,
    leadOhm: 0,
  };
  const hand = new Errands(start, switches, {
    sweepCmPerS: 2.5,
    carryCmPerS: plain.hand.carrySpeedCmPerS,
    rowLengthCm: wire.rowLengthCm,
  });
  const scene = sceneWith({
    seed,
    about: { by: ['by hand, on the simulated bench (invented)'] },
    task: { kind: 'script', procedure: 'emf-comparison', start: switches, steps: hand },
  });
  return {
    source: new PacedSource('simulated', simulateRun(scene), speed),
    hand,
    title: `${plain.bench.name}, simulated, by hand`,
  };
}
