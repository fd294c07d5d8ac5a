import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { ACTS } from './adversarial-acts.ts';
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
