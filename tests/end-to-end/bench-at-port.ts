import { join } from 'node:path';
import { type BoardAtPort, openBoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { sceneAtBoard } from '../../bridge/emulate/scene-board.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { HandCommands, type HandOrder } from '../../bridge/simulate/hand-commands.ts';
import type { Switches } from '../../bridge/simulate/steps.ts';
import { until } from '../until.ts';

/** The reference board at a pseudo-terminal, on a bench whose jockey and keys the test moves as a technician's hand does. */
export interface BenchAtPort {
  at: BoardAtPort;
  /** What the reference board's front end and the bench's circuit really are. */
  truth: ReturnType<typeof sceneAtBoard>['scene']['bench'];
  /** Orders, and waits until the hand has done it. */
  work(order: HandOrder): Promise<void>;
  /** Lifted, to a place; then down where it says so. */
  goTo(row: number, scaleCm: number, pressed: boolean): Promise<void>;
}

const START: Switches = {
  keyClosed: true,
  cell: 1,
  protect: true,
  load: false,
  rheostatOhm: 4,
  leadOhm: 0,
};

export async function openBenchAtPort(folder: string, speed: number): Promise<BenchAtPort> {
  const hand = new HandCommands({ row: 1, scaleCm: 50 }, START, {
    sweepCmPerS: 2.5,
    carryCmPerS: 55,
    rowLengthCm: 100,
  });
  const bench = sceneAtBoard(
    sceneWith({
      seed: 12,
      task: { kind: 'script', procedure: 'emf-comparison', start: START, steps: hand, silentOperator: true },
    }),
  );
  const opening = await openBoardAtPort({ ...bench, path: join(folder, 'port'), speed });
  if (!opening.ok) throw new Error(opening.text);
  const work = async (order: HandOrder) => {
    hand.order(order);
    await until(() => !hand.state.busy, 'the hand does what it was told', 120_000);
  };
  return {
    at: opening.at,
    truth: bench.scene.bench,
    work,
    async goTo(row, scaleCm, pressed) {
      await work({ pressed: false });
      await work({ to: { row, scaleCm } });
      await work({ pressed });
    },
  };
}
