import { reportJson } from '../report/report-json.ts';
import { checkInterval } from '../run/check-interval.ts';
import type { RunFold } from '../run/fold.ts';
import { foldRecording } from '../session/fold-recording.ts';
import type { MakeFold } from '../session/make-fold.ts';
import { foldMaker } from '../session/make-fold.ts';
import { nullLine } from './null-notes.ts';
import { resultLines } from './result-lines.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface ReportCommand {
  json: boolean;
}

/** Any number would do: the same one gives the same Monte Carlo check of the same recording. */
const CHECK_SEED = 1;

/** Reports on recordings, one after the other. 1 where one of them could not be read. */
export async function report(files: string[], options: ReportCommand, terminal: Terminal): Promise<ExitCode> {
  const makeFold = await foldMaker();
  let code: ExitCode = 0;
  for (const file of files) {
    const fold = await foldFile(file, makeFold, terminal);
    if (fold === null) code = 1;
    else if (options.json) terminal.out(jsonText(fold, files.length > 1));
    else for (const line of textLines(file, fold)) terminal.out(line);
  }
  return code;
}

async function foldFile(file: string, makeFold: MakeFold, terminal: Terminal): Promise<RunFold | null> {
  const folded = await foldRecording(file, makeFold, (share) =>
    terminal.progress(`${file}: ${Math.round(100 * share)} %`),
  );
  terminal.progress('');
  if (folded.ok) return folded.fold;
  terminal.note(folded.fault.text);
  return null;
}

/** One object; several files give one object a line. */
function jsonText(fold: RunFold, oneLine: boolean): string {
  const report = reportJson(fold.view(), checkInterval(fold, CHECK_SEED));
  return oneLine ? JSON.stringify(report) : JSON.stringify(report, null, 2);
}

function textLines(file: string, fold: RunFold): string[] {
  const view = fold.view();
  const { samples, badLines, lostSamples, boots } = view.stream;
  return [
    `${file}: ${view.bench?.name ?? 'no bench'}, ${view.about?.startedUtc ?? 'start unknown'}, ${[view.about?.by ?? []].flat().join(', ')}`,
    `${samples} samples in ${view.durationS.toFixed(1)} s, ${badLines} damaged lines, ${lostSamples} samples lost, ${boots} boots`,
    ...view.nulls.map((found) => `${nullLine(found)}${found.used ? '' : `, not used: ${found.whyNot}`}`),
    '',
    ...resultLines(view),
    '',
  ];
}
