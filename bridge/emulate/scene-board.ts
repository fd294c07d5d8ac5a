import type { Bench } from '../bench/bench-file.ts';
import type { RunEvent } from '../run/events.ts';
import { createLiveBench, type Physical } from '../simulate/live-bench.ts';
import type { Scene } from '../simulate/scene.ts';
import { createFrontEnd, type FrontEndModel, QUIET_FRONT_END } from './front-end.ts';
import {
  DRIVER_MA_PER_COUNT,
  DRIVER_ZERO_COUNTS,
  GAL_UA_PER_COUNT,
  GAL_ZERO_COUNTS,
  VOLTS_PER_COUNT,
} from './hardware.ts';
import type { BenchSource } from './wiring.ts';

/** A bench file whose scales are those of the reference board's front end; everything else as given. */
export const benchWithBoard = (bench: Bench): Bench => ({
  ...bench,
  galvanometer: {
    ...bench.galvanometer,
    zeroCounts: GAL_ZERO_COUNTS,
    microampsPerCount: GAL_UA_PER_COUNT,
  },
  ammeter: {
    zeroCorrectionMa: 0,
    ...bench.ammeter,
    zeroCounts: DRIVER_ZERO_COUNTS,
    milliampsPerCount: DRIVER_MA_PER_COUNT,
  },
});

/** What a scene of bridge/simulate puts before the emulated board: its bench, its hand, and this front end. */
export interface SceneAtBoard {
  /** The scene with `benchWithBoard`; a recording of the run states this bench. */
  scene: Scene;
  bench: BenchSource;
  frontEnd: FrontEndModel;
  /** The bench as it was last looked at, and whether the hand has finished. */
  last(): Physical;
  /** What the operator recorded since the last call. */
  takeEvents(): RunEvent[];
}

/**
 * The physical bench and the hand of a scene for `openBoardAtPort`. Of the scene's own front end only offset, hum and
 * position sensor are taken; gain, noise, filter and converter are those of the electronics.
 */
export function sceneAtBoard(given: Scene): SceneAtBoard {
  const scene = { ...given, bench: benchWithBoard(given.bench) };
  const live = createLiveBench(scene);
  let last = live.advance(0);
  let events: RunEvent[] = [...last.events];
  const { galvanometer, position } = given.frontEnd;
  return {
    scene,
    bench: {
      advance(tS) {
        last = live.advance(tS);
        if (last.events.length > 0) events.push(...last.events);
        return last;
      },
    },
    frontEnd: createFrontEnd(scene.bench, {
      ...QUIET_FRONT_END,
      seed: scene.seed,
      zeroOffsetV: VOLTS_PER_COUNT * (galvanometer.zeroCounts - GAL_ZERO_COUNTS),
      hum: galvanometer.hum,
      position,
    }),
    last: () => last,
    takeEvents() {
      const taken = events;
      events = [];
      return taken;
    },
  };
}
