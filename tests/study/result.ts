import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { normalFrom } from './bench-truth.ts';
import { SCENES, trialsOf } from './result-scenes.ts';
import { type Tally, type Trial, tally } from './tally.ts';
import { SAMPLED_SCENES, sampledTrial } from './through-samples.ts';

/**
 * `npm run study:result [experiments] [seed] [sampled experiments]`: the coverage of the stated 95 % intervals and the RMS
 * errors, scene by scene. Lengths are drawn with their uncertainties in the first part; in the second every
 * experiment goes the whole way from simulated samples. Ends with status 1 where a coverage cannot be told from
 * one outside 93 to 97 %.
 */
const [experiments, seed, sampled] = [2000, 1, 200].map((usual, index) =>
  Number(process.argv[2 + index] ?? usual),
);
const formulas = await loadFormulas();
let outside = 0;

const figure = (value: number) => value.toExponential(2).padStart(9);

/** The limits, with two standard deviations of a share seen in so many experiments beyond the first thousand's worth. */
function isSound({ coverage, experiments: n, without }: Tally): boolean {
  const slack = n >= 1000 ? 0 : 2 * Math.sqrt((0.95 * 0.05) / n);
  return without === 0 && coverage >= 0.93 - slack && coverage <= 0.97 + slack;
}

function show(found: Tally, name: string): void {
  const sound = isSound(found);
  if (!sound) outside += 1;
  const percent = `${(found.coverage * 100).toFixed(1)} %`.padStart(7);
  const without = found.without > 0 ? ` (${found.without} without a result)` : '';
  const figures = `${figure(found.adoptedRms)}    ${figure(found.byTheBookRms)}  ${figure(found.meanU)}`;
  console.log(`${percent}${sound ? ' ' : '!'} ${figures}  ${name}${without}`);
}

const heading = (text: string) => {
  console.log(`\n${text}`);
  console.log('coverage  adopted RMS  by the book  mean u     scene');
};

heading(`Lengths drawn with their uncertainties, ${experiments} experiments a scene, seed ${seed}`);
for (const [index, scene] of SCENES.entries()) {
  const normal = normalFrom(seed * 1000 + index);
  show(tally(trialsOf(scene, experiments, formulas, normal)), `${scene.quantity}: ${scene.name}`);
}

heading(`From simulated samples, ${sampled} experiments a scene, seed ${seed}`);
for (const [index, scene] of SAMPLED_SCENES.entries()) {
  const trials = Array.from(
    { length: sampled },
    (_, run): Trial => sampledTrial(scene, seed * 1_000_000 + index * 10_000 + run, formulas),
  );
  show(tally(trials), `${scene.quantity}: ${scene.name}`);
}

if (outside > 0) {
  console.log(`\n${outside} scenes lie outside 93 to 97 %`);
  process.exitCode = 1;
}
