import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { normalFrom } from './bench-truth.ts';
import { SCENES, trialsOf } from './result-scenes.ts';
import { tally } from './tally.ts';

/** The study of results in short (`npm run study:result` is the long one): seeded, so it says the same every time. */

const formulas = await loadFormulas();
const EXPERIMENTS = 150;
/** Three standard deviations of a share of 95 % in so many experiments. */
const SLACK = 3 * Math.sqrt((0.95 * 0.05) / EXPERIMENTS);

test.each(SCENES.map((scene, index) => ({ name: scene.name, scene, index })))('$name', ({ scene, index }) => {
  const found = tally(trialsOf(scene, EXPERIMENTS, formulas, normalFrom(4000 + index)));
  expect(found.without).toBe(0);
  expect(Math.abs(found.coverage - 0.95)).toBeLessThan(SLACK);
  // what is stated is what happens: within 3 standard deviations of a standard deviation
  expect(found.adoptedRms / found.meanU).toBeGreaterThan(0.8);
  expect(found.adoptedRms / found.meanU).toBeLessThan(1.25);
});

test('with the end resistance unknown, the adopted estimate of eight sets errs less than half as much as the plain mean', () => {
  const scene = SCENES.find(({ name }) => name.endsWith('8 sets'));
  if (scene === undefined) throw new Error('no such scene');
  const found = tally(trialsOf(scene, EXPERIMENTS, formulas, normalFrom(5000)));
  expect(found.adoptedRms).toBeLessThan(0.5 * found.byTheBookRms);
});
