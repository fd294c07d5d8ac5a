import { drawPriorRun } from './calibration/prior-run.ts';
import { PRIOR_SCENES } from './calibration/prior-scenes.ts';
import { rankOf, uniformity } from './calibration/ranks.ts';

/**
 * `npm run study:calibration -- [draws] [seed]`: simulation-based calibration. Ranks of the truth in the posterior, in twenty bins,
 * on benches drawn from the priors. Ends with status 1 where they are not uniform.
 */
const [draws, seed] = [1000, 1].map((usual, index) => Number(process.argv[2 + index] ?? usual));
/** Standard deviations of chi-square beyond which ranks are no longer taken for uniform. */
const MOST_Z = 3.5;

for (const [index, { name, bench }] of PRIOR_SCENES.entries()) {
  const ranks = Array.from({ length: draws }, (_, draw) =>
    rankOf(drawPriorRun(bench, seed * 7_000_003 + index * 100_003 + draw)),
  ).filter((rank) => rank !== null);
  const { bins, chiSquareZ, within } = uniformity(ranks);
  const held = within.map(({ share, found }) => `${100 * share} %: ${(100 * found).toFixed(1)}`).join('  ');
  const wrong = Math.abs(chiSquareZ) > MOST_Z;
  console.log(
    `${name}: ${ranks.length} ranks, chi-square ${chiSquareZ.toFixed(1)} sd${wrong ? ' NOT UNIFORM' : ''}; within ${held}`,
  );
  console.log(`  ${bins.join(' ')}`);
  if (wrong) process.exitCode = 1;
}
