import { readRun } from '../report/read-run.ts';
import { reportJson } from '../report/report-json.ts';
import { foldMaker } from '../session/make-fold.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface ReportOptions {
  json: boolean;
}

/** What a recording says, for a script. */
export async function report(files: string[], options: ReportOptions, terminal: Terminal): Promise<ExitCode> {
  if (!options.json || files.length !== 1) {
    terminal.note('give one recording, and --json');
    return 2;
  }
  const makeFold = await foldMaker();
  const progress = (share: number) => terminal.progress(`reading ${files[0]}: ${Math.round(100 * share)} %`);
  const reading = await readRun(files[0], makeFold, progress);
  terminal.progress('');
  if (!reading.ok) {
    terminal.note(reading.text);
    return 1;
  }
  terminal.out(JSON.stringify(reportJson(reading.run.view, reading.run.check), null, 2));
  return 0;
}
