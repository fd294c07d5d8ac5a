import { basename } from 'node:path';
import { plusMinus, significant, unitSymbol } from '../calc-core/rounding.ts';
import type { ClassRun, ClassSpread } from '../report/class-table.ts';
import { classCsv, classSpread } from '../report/class-table.ts';
import type { ReportedRun } from '../report/read-run.ts';
import { readRun } from '../report/read-run.ts';
import { reportJson } from '../report/report-json.ts';
import { runMaker } from '../session/make-run.ts';
import { besideRecording, CSV_MARK, JSON_MARK, write, writeObservations, writePage } from './report-files.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface ReportOptions {
  /** One JSON object, for scripts. */
  json: boolean;
  /** A table of all the runs given. */
  csv: boolean;
  /** Sets and nulls of each run as CSV with metadata. */
  observations: boolean;
  out: string | null;
}

/** What recordings say: a page for printing, unless something else is asked for. */
export async function report(files: string[], options: ReportOptions, terminal: Terminal): Promise<ExitCode> {
  const wrong = wrongUse(files, options);
  if (wrong !== null) {
    terminal.note(wrong);
    return 2;
  }
  const runs: ClassRun[] = [];
  let failed = false;
  const fail = (text: string) => {
    terminal.note(text);
    failed = true;
  };
  for await (const reading of readAll(files, terminal)) {
    if (!reading.ok) fail(reading.text);
    else if (options.csv) runs.push({ file: basename(reading.file), run: reading.run });
    else {
      const obstacle = await writeOne(reading.file, reading.run, options, terminal);
      if (obstacle !== null) fail(obstacle);
    }
  }
  if (options.csv && runs.length > 0) {
    const obstacle = write(classCsv(runs), options.out, CSV_MARK, terminal);
    if (obstacle !== null) fail(obstacle);
    for (const spread of classSpread(runs)) terminal.note(spreadLine(spread));
  }
  return failed ? 1 : 0;
}

/** What can't be meant; null where all is well. */
function wrongUse(files: string[], { json, csv, observations, out }: ReportOptions): string | null {
  if ([json, csv, observations].filter(Boolean).length > 1)
    return 'one kind of report at a time: --json, --csv or --observations';
  if (json && files.length > 1) return '--json takes one recording; --csv makes a table of several';
  if (out !== null && !csv && files.length > 1)
    return '--out names one report; leave it out for several recordings';
  if (observations && out === '-') return '--observations writes several files; they need a name';
  return null;
}

async function* readAll(files: string[], terminal: Terminal) {
  const makeRun = await runMaker();
  for (const file of files) {
    const progress = (share: number) => terminal.progress(`reading ${file}: ${Math.round(100 * share)} %`);
    const reading = await readRun(file, makeRun, progress);
    terminal.progress('');
    yield { ...reading, file };
  }
}

async function writeOne(
  file: string,
  run: ReportedRun,
  { json, observations, out }: ReportOptions,
  terminal: Terminal,
): Promise<string | null> {
  if (json) return write(`${JSON.stringify(reportJson(run.view), null, 2)}\n`, out, JSON_MARK, terminal);
  if (observations)
    return writeObservations(run, (out ?? besideRecording(file, '')).replace(/\.csv$/, ''), terminal);
  return writePage(run, out ?? besideRecording(file, '.html'), terminal);
}

function spreadLine({ quantity, unit, runs, mean, standardDeviation: s }: ClassSpread): string {
  const symbol = unitSymbol(unit);
  const shown =
    s === null || s === 0 ? `${significant(mean, 6)} ${symbol}`.trim() : plusMinus(mean, s, symbol);
  const what = s === null ? '' : ' (mean and standard deviation of the class)';
  return `${quantity}, ${runs} run${runs === 1 ? '' : 's'}: ${shown}${what}`;
}
