import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { NULL_SCENES } from './null-scenes.ts';
import { runScene } from './null-summary.ts';

/** `npm run study:null [runs]`: errors of balancing lengths over their bound, and whether intervals hold the truth. */

const runs = Number(process.argv[2] ?? 2000);
const only = process.argv[3];
const formulas = await loadFormulas();
console.log(
  '| scene | runs | found | RMS error / bound | allowed | 95 % interval holds | naive RMS / ours |',
);
console.log('| --- | --- | --- | --- | --- | --- | --- |');
for (const scene of NULL_SCENES) {
  if (only !== undefined && !scene.name.includes(only)) continue;
  const summary = runScene(scene, runs, formulas);
  console.log(
    `| ${scene.name} | ${runs} | ${summary.found} | ${summary.overBound.toFixed(3)} | ${scene.allowed.toFixed(2)} ` +
      `| ${(100 * summary.coverage).toFixed(1)} % | ${summary.naiveOverOurs.toFixed(1)} |`,
  );
}
