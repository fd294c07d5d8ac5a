import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { RunEvent } from '../run/events.ts';
import type { LineSource } from '../serial/line-source.ts';
import { SerialSource } from '../serial/serial-source.ts';
import { byHandBench, type HandBenchOptions } from '../session/by-hand.ts';
import { PacedSource } from '../session/paced-source.ts';
import type { RunSession } from '../session/run-session.ts';
import type { BenchHand } from '../session/session.ts';
import type { Scene } from '../simulate/scene.ts';
import { openingEvents, simulateRun } from '../simulate/simulate-run.ts';

/** What stands in for a bench in the demo. */
export interface DemoBench {
  source: LineSource;
  /** What the recording says first, where the source does not bring it. */
  opening: RunEvent[];
  /** Where the page works the bench. */
  hand?: BenchHand;
  /** In words, for the terminal. */
  progress(): string;
  /** Lets the hand at the bench begin where it waited for the bridge; resolves when it has done all it had to. */
  finished(session: RunSession): Promise<void>;
  /** Lets go of what the source needed, after the session has been closed. */
  close(): Promise<void>;
}

export type DemoOpening = { ok: true; bench: DemoBench } | { ok: false; text: string };

/** Bench, hand and board all simulated: lines are made as they are asked for. */
export function simulatedBench(scene: Scene, speed: number): DemoOpening {
  const source = new PacedSource('simulated', simulateRun(scene), speed);
  source.pause();
  return {
    ok: true,
    bench: {
      source,
      opening: [],
      progress: () => `simulated bench at ${Math.floor(source.atMs / 1000)} s, ${speed} times real time`,
      finished: (session) => {
        source.resume();
        return new Promise((done) => session.onEnded(done));
      },
      close: async () => {},
    },
  };
}

/** All simulated but the hand: whoever is at the page works the bench, for as long as they like. */
export function handWorkedBench(options: HandBenchOptions): DemoOpening {
  const { source, hand } = byHandBench(options);
  return {
    ok: true,
    bench: {
      source,
      hand,
      opening: [],
      progress: () => `simulated bench at ${Math.floor(source.atMs / 1000)} s, worked from the page`,
      finished: () => new Promise(() => {}),
      close: async () => {},
    },
  };
}

const LOOK_MS = 200;

/** The bench is simulated; the board is the reference firmware, emulated, behind a real pseudo-terminal. */
export async function emulatedBench(given: Scene, speed: number): Promise<DemoOpening> {
  // The emulator is loaded only where it is asked for.
  const { openBoardAtPort } = await import('../emulate/board-at-port.ts');
  const { heldBench } = await import('../emulate/held-bench.ts');
  const { sceneAtBoard } = await import('../emulate/scene-board.ts');
  const { scene, bench: worked, frontEnd, last } = sceneAtBoard(given);
  const { bench, begin } = heldBench(worked);
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-board-'));
  const opening = await openBoardAtPort({ bench, frontEnd, path: join(folder, 'port'), speed });
  if (!opening.ok) {
    rmSync(folder, { recursive: true });
    return opening;
  }
  const { at } = opening;
  return {
    ok: true,
    bench: {
      source: new SerialSource({ path: at.path, baudRate: 115_200, rateHz: null }),
      opening: openingEvents(scene),
      progress: () => `emulated board at ${Math.floor(at.board.benchS)} s`,
      finished: () => {
        begin();
        return untilTrue(() => last().finished);
      },
      close: async () => {
        await at.close();
        rmSync(folder, { recursive: true, force: true });
      },
    },
  };
}

function untilTrue(holds: () => boolean): Promise<void> {
  return new Promise((resolve) => {
    const timer = setInterval(() => {
      if (!holds()) return;
      clearInterval(timer);
      resolve();
    }, LOOK_MS);
    timer.unref();
  });
}
