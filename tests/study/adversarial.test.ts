import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { evenScene } from '../simulate/even-bench.ts';
import { ACTS } from './adversarial-acts.ts';
import { judged, nullsOf } from './adversarial-run.ts';
import { BOARDS } from './adversarial-scenes.ts';
import { tallyOf } from './adversarial-tally.ts';

/**
 * What is not a null, in short (`npm run study:null` is the long study): each kind of act on boards that sense all, contact only
 * and nothing, with a real sweep beside it. Seeded, so it says the same every time.
 */

const formulas = await loadFormulas();
const RUNS = 9;

test.each(ACTS.map((act) => ({ name: act.name, act })))(
  '$name: no false null, none missed',
  ({ act }) => {
    const { nulls, falseNulls, missed } = tallyOf(act, RUNS, formulas);
    expect(falseNulls).toEqual([]);
    expect(missed).toEqual([]);
    // Real sweeps go both ways, so that there is something to miss.
    if (!act.noNull) expect(nulls).toBeGreaterThanOrEqual(RUNS);
  },
  120_000,
);

test('a student at a board that senses nothing: every null is one, and every set has its four for each cell', () => {
  const scene = evenScene({
    seed: 7,
    board: { senses: BOARDS['senses nothing'] },
    frontEnd: { position: { scaleErrorCm: 0 } },
  });
  const nulls = nullsOf({ scene, realS: null, words: { from: 0, to: 0, lateS: 0 } }, formulas);
  expect(judged(scene, nulls).filter(({ isFalse }) => isFalse)).toEqual([]);
  expect(nulls.filter(({ fine }) => fine).length).toBe(4 * 2 * 4);
});
