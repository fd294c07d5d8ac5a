import { expect, test } from 'vitest';
import { drawPriorRun } from './calibration/prior-run.ts';
import { PRIOR_SCENES } from './calibration/prior-scenes.ts';
import { rankOf, uniformity } from './calibration/ranks.ts';

/** Simulation-based calibration in short (`npm run study:calibration` is the long one): seeded. */

const DRAWS = 60;

test.each(PRIOR_SCENES)('$name: on benches from the priors, ranks of the truth are uniform', ({ bench }) => {
  const ranks = Array.from({ length: DRAWS }, (_, draw) => rankOf(drawPriorRun(bench, 500_000 + draw)));
  const found = uniformity(ranks.filter((rank) => rank !== null));
  expect(ranks).not.toContain(null);
  expect(found.chiSquareZ).toBeLessThan(3.5);
  for (const { share, found: held } of found.within.slice(0, 3)) {
    expect(Math.abs(held - share)).toBeLessThan(3.5 * Math.sqrt((share * (1 - share)) / DRAWS));
  }
});
