import { placeOnWire } from '../../bridge/bench/geometry.ts';
import { INVENTED_BENCH, type ScenePatch } from '../../bridge/simulate/default-scene.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import type { Step } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { evenScene } from '../simulate/even-bench.ts';
import { sweepSteps, tapSteps } from '../simulate/readings.ts';

/**
 * Scenes of the null study: one balancing length a run, every run drawn afresh, the truth known. Benches and
 * numbers are invented.
 */

export interface NullScene {
  name: string;
  /** Root-mean-square error allowed, over the bound. */
  allowed: number;
  draw(seed: number): Scene;
}

export interface Draw {
  uniform(): number;
  between(low: number, high: number): number;
}

export function drawing(seed: number, name: string): Draw {
  const { uniform } = randomStream(seed, name);
  return { uniform, between: (low, high) => low + (high - low) * uniform() };
}

const PEACE: ScenePatch = {
  apparatus: { thermalEmfUv: { 1: 0, 2: 0 }, driver: { driftPercentPerMin: 0 }, contact: { bounces: 0 } },
  frontEnd: {
    galvanometer: {
      driftCountsPerMin: 0,
      noiseUa: 0.1,
      hum: { amplitudeUa: 0 },
      spikes: { share: 0 },
      lagMs: 0,
    },
    position: { noiseCm: 0.0005, backlashCm: 0, scaleErrorCm: 0 },
  },
  hand: { tremorCm: 0 },
};

/** 16 bits along the scale, so that the galvanometer's noise is the only one. */
const FINE_POSITION = {
  span: { min: 0, max: 65535 },
  points: [
    { counts: 1000, scaleCm: 0 },
    { counts: 64000, scaleCm: 100 },
  ],
};

interface Frame {
  patch: ScenePatch;
  finePosition: boolean;
  steps(draw: Draw, row: number, scaleCm: number): Step[];
}

/** Time with the jockey lifted before the null is sought, from which the zero is known. */
export const LIFTED_S = 40;

/** A run: sensitivity drawn over two decades, the null anywhere but near the ends of a row. */
function sceneOf(seed: number, frame: Frame): Scene {
  const draw = drawing(seed, 'null study');
  const galvanometerOhm = 30 * 100 ** draw.uniform();
  for (;;) {
    const rheostatOhm = draw.between(4, 12);
    const scene = withBench(seed, frame, galvanometerOhm);
    const lengthCm = trueLengthCm(scene, { rheostatOhm, cell: 1, protect: false });
    if (lengthCm === null) continue;
    const { row, scaleCm } = placeOnWire(scene.bench.wire, lengthCm);
    if (scaleCm < 10 || scaleCm > 90) continue;
    const steps = [...endTap(row, scaleCm), ...frame.steps(draw, row, scaleCm)];
    const start = { rheostatOhm, protect: false };
    return { ...scene, task: { kind: 'script', procedure: 'emf-comparison', start, steps } };
  }
}

/** As everyone begins: a tap far from the null, then the jockey lifted. */
const endTap = (row: number, scaleCm: number): Step[] => [
  ...tapSteps({ row, scalesCm: [scaleCm > 50 ? 2 : 98], holdS: 0.4 }),
  { do: 'wait', seconds: LIFTED_S },
];

function withBench(seed: number, frame: Frame, galvanometerOhm: number): Scene {
  const scene = evenScene({ ...frame.patch, seed });
  const position = INVENTED_BENCH.position ?? { points: [], standardUncertaintyCm: 0.03, correlationCm: 15 };
  return {
    ...scene,
    bench: {
      ...scene.bench,
      galvanometer: { ...scene.bench.galvanometer, resistanceOhm: galvanometerOhm },
      position: frame.finePosition ? { ...position, points: FINE_POSITION.points } : position,
    },
    apparatus: { ...scene.apparatus, galvanometerOhm },
    board: frame.finePosition
      ? { ...scene.board, channels: { ...scene.board.channels, pos: FINE_POSITION.span } }
      : scene.board,
  };
}

interface Way {
  passes: number;
  profile: 'smooth' | 'steady';
  /** Mean speeds from and to, drawn for each pass. */
  cmPerS?: [number, number];
}

/** One touch that slides across, past the null by 3 to 6 cm on either side. */
export function across(
  draw: Draw,
  row: number,
  scaleCm: number,
  { passes, profile, cmPerS = [2, 8] }: Way,
): Step[] {
  const ends = [scaleCm - draw.between(3, 6), scaleCm + draw.between(3, 6)];
  const [fromCm, toCm] = draw.uniform() < 0.5 ? ends : ends.reverse();
  const secondsOfPasses = Array.from(
    { length: passes },
    () => Math.abs(toCm - fromCm) / draw.between(...cmPerS),
  );
  return sweepSteps({ row, fromCm, toCm, secondsOfPasses, pauseS: 0.3, profile });
}

const white: NullScene = {
  name: 'white noise, one sweep',
  allowed: 1.1,
  draw: (seed) =>
    sceneOf(seed, {
      patch: PEACE,
      finePosition: true,
      steps: (draw, row, scaleCm) => across(draw, row, scaleCm, { passes: 1, profile: 'steady' }),
    }),
};

const taps: NullScene = {
  name: 'taps, eight a null',
  allowed: 1.15,
  draw: (seed) =>
    sceneOf(seed, {
      patch: PEACE,
      finePosition: true,
      steps: (draw, row, scaleCm) => {
        const reach = draw.between(0.5, 1.5);
        const scalesCm = [-1.9, 1.8, -1.1, 1.2, -0.6, 0.7, -0.3, 0.2].map((off) => scaleCm + reach * off);
        return tapSteps({ row, scalesCm, holdS: 0.5 });
      },
    }),
};

/** Hum of 100 times the noise's power, spikes in one sample of a hundred, lag, tremor, both ways. */
const everything: NullScene = {
  name: 'hum, spikes, lag, tremor, both ways',
  allowed: 1.3,
  draw: (seed) => {
    const draw = drawing(seed, 'null study, front end');
    const patch: ScenePatch = {
      ...PEACE,
      frontEnd: {
        galvanometer: {
          driftCountsPerMin: 0,
          noiseUa: 0.1,
          hum: { amplitudeUa: 0.1 * Math.sqrt(200), frequencyHz: draw.between(49.8, 50.2) },
          spikes: { share: 0.01, rmsUa: 3 },
          lagMs: draw.between(20, 50),
        },
        position: { noiseCm: 0.0005, backlashCm: 0, scaleErrorCm: 0 },
      },
      hand: { tremorCm: 0.03 },
    };
    return sceneOf(seed, {
      patch,
      finePosition: true,
      steps: (inner, row, scaleCm) => across(inner, row, scaleCm, { passes: 4, profile: 'smooth' }),
    });
  },
};

const position: NullScene = {
  name: 'position noise and quantising',
  allowed: 1.15,
  draw: (seed) =>
    sceneOf(seed, {
      patch: {
        ...PEACE,
        frontEnd: {
          galvanometer: {
            driftCountsPerMin: 0,
            noiseUa: 0.02,
            hum: { amplitudeUa: 0 },
            spikes: { share: 0 },
            lagMs: 0,
          },
          position: { noiseCm: 0.03, backlashCm: 0, scaleErrorCm: 0 },
        },
      },
      finePosition: false,
      steps: (draw, row, scaleCm) => across(draw, row, scaleCm, { passes: 1, profile: 'steady' }),
    }),
};

export const NULL_SCENES: NullScene[] = [white, taps, everything, position];
