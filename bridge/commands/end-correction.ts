import { type KnownRatio, type MeasuredEnd, measuredEndCorrection } from '../calc-core/end-correction.ts';
import { knowledgeOf } from '../run/bench-knowledge.ts';
import { comparisonSets } from '../run/comparison-work.ts';
import { runEvaluator } from '../run/evaluate.ts';
import { runMaker } from '../session/make-run.ts';
import { runFromRecording } from '../session/run-from-recording.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface EndCorrectionOptions {
  ratio: number;
  uRatio: number;
  json: boolean;
}

/** The bench's end correction from a run with two voltages of known ratio in place of the cells. */
export async function endCorrection(
  recording: string,
  { ratio, uRatio, json }: EndCorrectionOptions,
  terminal: Terminal,
): Promise<ExitCode> {
  const read = await runFromRecording(recording, await runMaker());
  if (!read.ok) {
    terminal.note(read.fault.text);
    return 2;
  }
  const { bench, sets } = runEvaluator(read.run.formulas)(read.run.state);
  if (bench === null) {
    terminal.note('the recording has no bench file');
    return 1;
  }
  const known: KnownRatio = { value: ratio, u: uRatio };
  const measured = measuredEndCorrection(comparisonSets(sets), known, knowledgeOf(bench));
  if (!measured.ok) {
    terminal.note(measured.text);
    return 1;
  }
  const { end } = measured;
  if (json)
    terminal.out(JSON.stringify({ format: 'tenwire-end-correction/1', ratio: known, ...end }, null, 2));
  else for (const line of linesOf(end)) terminal.out(line);
  return 0;
}

function linesOf({ valueCm, standardUncertaintyCm: u, sets, parts }: MeasuredEnd): string[] {
  const stated = { valueCm: Number(valueCm.toFixed(3)), standardUncertaintyCm: Number(u.toPrecision(2)) };
  return [
    ...sets.map(({ set, alphaCm }) => `set ${set}: ${alphaCm.toFixed(3)} cm`),
    `end correction ${valueCm.toFixed(3)} cm, standard uncertainty ${u.toPrecision(2)} cm, of which:`,
    ...parts.map(({ what, uCm }) => `  ${what.padEnd(36)} ${uCm.toPrecision(2)} cm`),
    'for the bench file:',
    `  "endCorrection": ${JSON.stringify(stated)}`,
  ];
}
