import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { drawExperiment } from './reality/experiment.ts';
import { type Figures, figuresOf } from './reality/figures.ts';
import { drawLoadExperiment } from './reality/load-experiment.ts';
import { LOAD_SCENES, SCENES, type Scene } from './reality/scenes.ts';
import { comparedTrial, loadedTrial } from './reality/trial.ts';

/** The reality study in short (`npm run study:reality` is the long one): seeded, so it says the same every time. */

const formulas = await loadFormulas();
const DRAWS = 40;
/** Three standard deviations below 95 % in so many draws. */
const LEAST_COVERAGE = 0.95 - 3 * Math.sqrt((0.95 * 0.05) / DRAWS);

const named = <One extends Scene>(scenes: readonly One[], name: string): One => {
  const found = scenes.find((scene) => scene.name === name);
  if (found === undefined) throw new Error(`no scene ${name}`);
  return found;
};
const draws = Array.from({ length: DRAWS }, (_, draw) => 900_000 + draw);

function figures(name: string, seeds = draws): Figures {
  const scene = named(SCENES, name);
  return figuresOf(seeds.map((seed) => comparedTrial(drawExperiment(scene, seed), formulas)));
}

test.each([
  'everything × 1',
  'a few things wrong',
  'short run: rows differ by 0.5 %',
  'end stated tight and true, everything × 1',
])('%s: U holds the truth, and the result errs no more than the plain mean or its own U', (name) => {
  const { coverage, unflagged, rmsRatio, uOverRms } = figures(name);
  expect(coverage.value).toBeGreaterThan(LEAST_COVERAGE);
  expect(unflagged.value).toBeLessThan(0.11);
  expect(rmsRatio.value <= 1.25 || uOverRms.value >= 1.6).toBe(true);
});

test('with a bad joint the result errs clearly less than the plain mean', () => {
  expect(figures('end correction of 2 to 10 cm, nothing else').rmsRatio.value).toBeLessThan(0.85);
});

test('a wrong row in six sets or more moves the result less than a fifth as much as the plain mean', () => {
  const { rmsRatio, unflagged } = figures('wrong row, 6 to 12 sets', draws.slice(0, 20));
  expect(rmsRatio.value).toBeLessThan(0.2);
  expect(unflagged.value).toBeLessThan(0.05);
});

test('internal resistance, cells that give way included: U holds the truth', () => {
  const scene = named(LOAD_SCENES, 'r: everything × 1');
  const trials = draws.map((seed) => loadedTrial(drawLoadExperiment(scene, seed), formulas));
  expect(figuresOf(trials).coverage.value).toBeGreaterThan(LEAST_COVERAGE);
});
