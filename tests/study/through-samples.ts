import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import { referenceCells } from '../../bridge/run/reference-cells.ts';
import { Run } from '../../bridge/run/run.ts';
import {
  COMPARISON,
  INTERNAL_RESISTANCE,
  type ScenePatch,
  sceneWith,
} from '../../bridge/simulate/default-scene.ts';
import { drawnScene } from '../../bridge/simulate/drawn-scene.ts';
import { referenceScene } from '../../bridge/simulate/reference-scene.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { truthOf } from '../../bridge/simulate/truth.ts';
import { normalFrom } from './bench-truth.ts';
import type { Trial } from './tally.ts';

/** Experiments that go the whole way: a bench drawn afresh, a student's hand, samples, lines, the fold, the result. */

export interface SampledScene {
  name: string;
  quantity: 'E1/E2' | 'r' | 'E1';
  scene: Scene;
}

const RHEOSTAT_OHM = [1.2, 2.6, 4.1, 6, 7.9, 9.6, 11.4, 13.2];

const compared = (name: string, rheostatOhm: readonly number[], patch: ScenePatch = {}): SampledScene => ({
  name,
  quantity: 'E1/E2',
  scene: sceneWith({ ...patch, task: { ...COMPARISON, rheostatOhm } }),
});
const drifting = (driftPercentPerMin: number): ScenePatch => ({
  apparatus: { driver: { driftPercentPerMin } },
});
const FOUR = COMPARISON.rheostatOhm;

export const SAMPLED_SCENES: SampledScene[] = [
  compared('plain, 4 sets', FOUR),
  compared('2 sets', [1.2, 13.2]),
  compared('8 sets', RHEOSTAT_OHM),
  compared('driver drifts 0.1 %/min, 4 sets', FOUR, drifting(-0.1)),
  compared('driver drifts 1 %/min, 4 sets', FOUR, drifting(-1)),
  {
    name: 'internal resistance, 3 sets of one load',
    quantity: 'r',
    scene: sceneWith({ task: { ...INTERNAL_RESISTANCE, load: { ohm: 10, uOhm: 0.01 } } }),
  },
  { name: 'against a Weston cell, 4 sets by taps', quantity: 'E1', scene: referenceScene(1) },
];

/** The load is off by its own amount from what the student says of it. */
function withDrawnLoad(scene: Scene, seed: number): Scene {
  if (scene.task.kind === 'script') return scene;
  const { ohm, uOhm } = scene.task.load;
  const loadOhm = ohm + uOhm * normalFrom(seed)();
  return { ...scene, apparatus: { ...scene.apparatus, loadOhm } };
}

/** A reference cell is off by its own amount from what certificate and thermometer say of it. */
function withDrawnReference(scene: Scene, seed: number): Scene {
  const { cells } = scene.apparatus;
  const [known] = referenceCells(scene.bench, scene.about.temperatureC);
  if (known?.uEmfV == null) return scene;
  const emfV = cells[known.cell].emfV + known.uEmfV * normalFrom(seed)();
  const drawn = { ...cells, [known.cell]: { ...cells[known.cell], emfV } };
  return { ...scene, apparatus: { ...scene.apparatus, cells: drawn } };
}

export function sampledTrial({ scene, quantity }: SampledScene, seed: number, formulas: Formulas): Trial {
  const drawn = withDrawnReference(withDrawnLoad(drawnScene(scene, seed), seed), seed);
  const fold = new Run({ formulas });
  for (const record of simulateRun(drawn)) fold.addRecord(record);
  const { work } = fold.view();
  const { ratio, r1Ohm, emf1V } = truthOf(drawn);
  const truth = { 'E1/E2': ratio, r: r1Ohm, E1: emf1V }[quantity];
  const outcome = quantity === 'E1' && work.procedure === 'emf-comparison' ? work.emf : work.outcome;
  return { truth, result: outcome?.result ?? null, byTheBook: outcome?.byTheBook ?? null };
}
