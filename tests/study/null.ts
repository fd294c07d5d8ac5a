import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { printAdversarial } from './adversarial-table.ts';
import { methodFolder, writePlots } from './method-plots.ts';
import { NULL_SCENES } from './null-scenes.ts';
import { type NullSummary, percent, runScene } from './null-summary.ts';

/**
 * `npm run study:null -- [runs] [scenes | adversarial | part of a scene's name] [--write]`: errors of balancing lengths over their
 * bound, whether intervals hold the truth, and false nulls. `--write` makes the plots of docs/method.md anew.
 */

const [runs = 2000, only = ''] = process.argv.slice(2).filter((word) => !word.startsWith('--'));
const formulas = await loadFormulas();

const row = ({
  scene,
  runs: all,
  found,
  overBound,
  coverage,
  byDecade,
  naiveOverOurs,
}: NullSummary): string =>
  `| ${scene.name} | ${all} | ${found} | ${overBound.toFixed(3)} | ${scene.allowed.toFixed(2)} | ${percent(coverage)} ` +
  `| ${byDecade.map(percent).join(' / ')} | ${naiveOverOurs.toFixed(1)} |`;

const scenes = NULL_SCENES.filter(({ name }) => only === 'scenes' || name.includes(only));
if (scenes.length > 0) {
  console.log(
    '| scene | runs | found | RMS error / bound | allowed | 95 % interval holds | by decade of sensitivity | naive RMS / ours |',
  );
  console.log('| --- | --- | --- | --- | --- | --- | --- | --- |');
}
const summaries = scenes.map((scene) => {
  const summary = runScene(scene, Number(runs), formulas);
  console.log(row(summary));
  return summary;
});
if (process.argv.includes('--write')) writePlots(methodFolder(process.cwd()), summaries);
if (only === '' || only === 'adversarial') printAdversarial(Number(runs), '', formulas);
