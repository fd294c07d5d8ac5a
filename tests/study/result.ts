import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { normalFrom } from './bench-truth.ts';
import { SCENES, study } from './result-scenes.ts';

/**
 * `npm run study:result [experiments] [seed]`: the coverage of the stated 95 % intervals and the RMS errors, scene by
 * scene. Ends with status 1 where a coverage lies outside 93 to 97 %.
 */
const experiments = Number(process.argv[2] ?? 2000);
const seed = Number(process.argv[3] ?? 1);
const formulas = await loadFormulas();
const figure = (value: number) => value.toExponential(2).padStart(9);

console.log(
  `${experiments} experiments a scene, seed ${seed}; errors and uncertainties in the unit of the result`,
);
console.log(`coverage  adopted RMS  by the book  mean u     scene`);
let outside = 0;
for (const [index, scene] of SCENES.entries()) {
  const tally = study(scene, experiments, formulas, normalFrom(seed * 1000 + index));
  const sound = tally.coverage >= 0.93 && tally.coverage <= 0.97;
  if (!sound) outside += 1;
  const percent = `${(tally.coverage * 100).toFixed(1)} %`.padStart(7);
  console.log(
    `${percent}${sound ? ' ' : '!'} ${figure(tally.adoptedRms)}    ${figure(tally.byTheBookRms)}  ${figure(tally.meanU)}  ${scene.quantity}: ${scene.name}`,
  );
}
if (outside > 0) {
  console.log(`${outside} of ${SCENES.length} scenes lie outside 93 to 97 %`);
  process.exitCode = 1;
}
