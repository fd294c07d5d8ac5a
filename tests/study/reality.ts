import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { drawExperiment } from './reality/experiment.ts';
import { figuresOf } from './reality/figures.ts';
import { groupings } from './reality/groups.ts';
import { missed } from './reality/limits.ts';
import { drawLoadExperiment } from './reality/load-experiment.ts';
import { drawSampled } from './reality/sampled-experiment.ts';
import { LOAD_SCENES, SAMPLED_SCENES, SCENES, type Scene } from './reality/scenes.ts';
import { markdownHead, markdownRow, textHead, textRow } from './reality/table.ts';
import { comparedTrial, loadedTrial, sampledTrial, type Trial } from './reality/trial.ts';
import { missLine } from './reality/why.ts';

/**
 * `npm run study:reality -- [--draws 1000] [--sampled 100] [--scenes REGEXP] [--seed 1] [--by GROUP] [--alarms] [--misses]
 * [--markdown FILE]`: benches from a population that shares nothing with the program, scene by scene. Ends with status 1 where a limit is missed.
 */
const { values: given } = parseArgs({
  options: {
    draws: { type: 'string', default: '1000' },
    sampled: { type: 'string', default: '100' },
    scenes: { type: 'string', default: '.' },
    seed: { type: 'string', default: '1' },
    by: { type: 'string' },
    alarms: { type: 'boolean', default: false },
    misses: { type: 'boolean', default: false },
    markdown: { type: 'string' },
  },
});
const [draws, sampled] = [Number(given.draws), Number(given.sampled)];
const formulas = await loadFormulas();
const seedOf = (draw: number) => Number(given.seed) * 1_000_003 + draw;

interface Runnable extends Scene {
  draws: number;
  trial: (draw: number) => Trial;
  /** Where a miss comes from. */
  why?: (draw: number, trial: Trial) => string;
}

const runnable: readonly Runnable[] = [
  ...SCENES.map((scene) => ({
    ...scene,
    draws,
    trial: (draw: number) => comparedTrial(drawExperiment(scene, seedOf(draw)), formulas),
    why: (draw: number, trial: Trial) => missLine(scene, seedOf(draw), trial),
  })),
  ...LOAD_SCENES.map((scene) => ({
    ...scene,
    draws,
    trial: (draw: number) => loadedTrial(drawLoadExperiment(scene, seedOf(draw)), formulas),
  })),
  ...SAMPLED_SCENES.map((scene) => ({
    ...scene,
    draws: sampled,
    trial: (draw: number) => sampledTrial(drawSampled(scene, seedOf(draw))),
  })),
];
const chosen = runnable.filter(({ name }) => new RegExp(given.scenes).test(name));
const markdown: string[] = [markdownHead()];
let misses = 0;

console.log(textHead());
for (const scene of chosen) {
  const trials = Array.from({ length: scene.draws }, (_, draw) => scene.trial(draw));
  const figures = figuresOf(trials);
  const outside = missed(figures, scene.judgedBy);
  misses += outside.length;
  console.log(textRow(scene.name, figures, outside));
  markdown.push(markdownRow(scene.name, figures));
  for (const [name, some] of groupings(trials, given.by))
    console.log(textRow(`  ${name}`, figuresOf(some), []));
  if (given.misses) {
    trials.forEach((trial, draw) => {
      if (trial.unflagged) console.log(scene.why?.(draw, trial) ?? `    seed ${seedOf(draw)}`);
    });
  }
  if (given.alarms) console.log(alarmCounts(trials.map(({ alarms }) => alarms)));
}
console.log(`\n${chosen.length} scenes, ${misses} limits missed`);
if (given.markdown !== undefined) writeFileSync(given.markdown, `${markdown.join('\n')}\n`);
process.exitCode = misses > 0 ? 1 : 0;

function alarmCounts(alarms: readonly (readonly string[])[]): string {
  const counts = new Map<string, number>();
  for (const code of alarms.flatMap((codes) => [...new Set(codes)]))
    counts.set(code, (counts.get(code) ?? 0) + 1);
  return `  alarms: ${[...counts].map(([code, count]) => `${code} ${count}`).join(', ') || 'none'}`;
}
