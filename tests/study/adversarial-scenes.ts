import { placeOnWire } from '../../bridge/bench/geometry.ts';
import type { ScenePatch } from '../../bridge/simulate/default-scene.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import type { Step } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { evenScene } from '../simulate/even-bench.ts';
import { tapSteps } from '../simulate/readings.ts';
import type { Act } from './adversarial-acts.ts';
import { across, type Draw, drawing } from './null-scenes.ts';

/** Runs that hold one adversarial act and one real sweep across the null, in either order, on benches drawn afresh. */

export interface AdversarialScene {
  scene: Scene;
  /** When the real sweep is made; null where the wire has no null. */
  realS: { from: number; to: number } | null;
  /** When the act is done, and how late the operator then says what the board does not sense; for ever late is never. */
  words: { from: number; to: number; lateS: number };
}

export const BOARDS = {
  'senses all': { contact: true, cellKey: true, protect: true, row: true, load: true },
  'senses contact': { contact: true, cellKey: false, protect: false, row: false, load: false },
  'senses nothing': { contact: false, cellKey: false, protect: false, row: false, load: false },
} as const;

export type BoardKind = keyof typeof BOARDS;

export function adversarialScene(act: Act, board: BoardKind, seed: number): AdversarialScene {
  const draw = drawing(seed, act.name);
  const own = overlaid(circumstances(draw), act.patch?.(draw) ?? {});
  const base = evenScene({ ...own, seed, board: { ...own.board, senses: BOARDS[board] } });
  const { scene, rheostatOhm, row, scaleCm } = withNull(base, draw);
  const opening = openingSteps(row, scaleCm);
  const doing = [...act.steps(draw, row, scaleCm), { do: 'wait', seconds: 1 } as const];
  const real = act.noNull ? [] : realSweep(draw, row, scaleCm, act.realCmPerS ?? 8);
  const realFirst = draw.uniform() < 0.5;
  const steps = [...opening, ...(realFirst ? [...real, ...doing] : [...doing, ...real])];
  const firstS = secondsOf(opening, scene);
  const from = firstS + (realFirst ? 0 : secondsOf(doing, scene));
  const actS = firstS + (realFirst ? secondsOf(real, scene) : 0);
  return {
    scene: {
      ...scene,
      apparatus: {
        ...scene.apparatus,
        faults: {
          ...scene.apparatus.faults,
          wireBrokenAtCm: act.noNull ? lengthOf(scene, rheostatOhm) : null,
        },
      },
      task: {
        kind: 'script',
        procedure: 'emf-comparison',
        start: { rheostatOhm, protect: false, cell: 1 },
        steps,
      },
    },
    realS: act.noNull ? null : { from, to: from + secondsOf(real, scene) },
    words: { from: actS, to: actS + secondsOf(doing, scene), lateS: lateness(draw) },
  };
}

/** On time, some seconds late, or never. */
const lateness = (draw: Draw): number => {
  const share = draw.uniform();
  if (share < 1 / 3) return 0;
  return share < 2 / 3 ? draw.between(0.1, 3) : Number.POSITIVE_INFINITY;
};

/** A bench of everyday noise; sensitivity over two decades. */
function circumstances(draw: Draw): ScenePatch {
  const galvanometerOhm = 30 * 100 ** draw.uniform();
  return {
    bench: { galvanometer: { resistanceOhm: galvanometerOhm } },
    apparatus: { galvanometerOhm },
    frontEnd: {
      galvanometer: {
        zeroCounts: 2048 + draw.between(-10, 10),
        noiseUa: draw.between(0.03, 0.15),
        hum: { amplitudeUa: draw.between(0, 0.4), frequencyHz: draw.between(49.8, 50.2) },
        lagMs: draw.between(0, 20),
      },
      position: { scaleErrorCm: 0 },
    },
  };
}

function overlaid(under: ScenePatch, over: ScenePatch): ScenePatch {
  return {
    ...under,
    ...over,
    bench: { galvanometer: { ...under.bench?.galvanometer, ...over.bench?.galvanometer } },
    apparatus: { ...under.apparatus, ...over.apparatus },
    frontEnd: {
      ...under.frontEnd,
      galvanometer: { ...under.frontEnd?.galvanometer, ...over.frontEnd?.galvanometer },
    },
  };
}

const lengthOf = (scene: Scene, rheostatOhm: number): number | null =>
  trueLengthCm(scene, { rheostatOhm, cell: 1, protect: false });

function withNull(scene: Scene, draw: Draw) {
  for (;;) {
    const rheostatOhm = draw.between(4, 12);
    const lengthCm = lengthOf(scene, rheostatOhm);
    if (lengthCm === null) continue;
    const { row, scaleCm } = placeOnWire(scene.bench.wire, lengthCm);
    if (scaleCm > 21 && scaleCm < 79) return { scene, rheostatOhm, row, scaleCm };
  }
}

const openingSteps = (row: number, scaleCm: number): Step[] => [
  ...tapSteps({ row, scalesCm: [scaleCm > 50 ? 2 : 98], holdS: 0.4 }),
  { do: 'wait', seconds: 5 },
];

/** To and fro, as everyone slides. */
const realSweep = (draw: Draw, row: number, scaleCm: number, mostCmPerS: number): Step[] => [
  ...across(draw, row, scaleCm, { passes: 2, profile: 'smooth', cmPerS: [mostCmPerS / 4, mostCmPerS] }),
  { do: 'wait', seconds: 1 },
];

const secondsOf = (steps: readonly Step[], scene: Scene): number =>
  steps.reduce((sum, step) => sum + ('seconds' in step ? step.seconds : scene.hand.pressS), 0);
