import { expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { NULL_SCENES } from './null-scenes.ts';
import { runScene } from './null-summary.ts';

/** The null study in short (`npm run study:null` is the long one): seeded, so it says the same every time. */

const formulas = await loadFormulas();
const RUNS = 40;
/** Three standard deviations of a root mean square of so many normal errors, and of a share of 95 %. */
const SLACK_RMS = 3 / Math.sqrt(2 * RUNS);
const SLACK_SHARE = 3 * Math.sqrt((0.95 * 0.05) / RUNS);

test.each(NULL_SCENES.map((scene) => ({ name: scene.name, scene })))(
  '$name',
  ({ scene }) => {
    const { found, overBound, coverage, naiveOverOurs } = runScene(scene, RUNS, formulas);
    expect(found).toBe(RUNS);
    expect(overBound).toBeLessThan(scene.allowed * (1 + SLACK_RMS));
    // An error far under the bound would mean that the bound is wrong.
    expect(overBound).toBeGreaterThan(1 - SLACK_RMS);
    expect(coverage.held / coverage.of).toBeGreaterThan(0.95 - SLACK_SHARE);
    expect(naiveOverOurs).toBeGreaterThan(5);
  },
  120_000,
);
