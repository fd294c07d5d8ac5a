import { basename } from 'node:path';
import type { ClassRun, StatedValue } from '../report/class-groups.ts';
import { classGroups } from '../report/class-groups.ts';
import { classCsv } from '../report/class-table.ts';
import { groupTexts } from '../report/group-texts.ts';
import type { ReportedClassRun } from '../report/page/class-page.tsx';
import type { ReportedRun } from '../report/read-run.ts';
import { readRun } from '../report/read-run.ts';
import { reportJson } from '../report/report-json.ts';
import { runMaker } from '../session/make-run.ts';
import {
  besideRecording,
  CSV_MARK,
  JSON_MARK,
  write,
  writeClassPage,
  writeObservations,
  writePage,
} from './report-files.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface ReportOptions {
  /** One JSON object, for scripts. */
  json: boolean;
  /** A table of all the runs given. */
  csv: boolean;
  /** Sets and nulls of each run as CSV with metadata. */
  observations: boolean;
  /** Every sample of each run as CSV with metadata. */
  samples: boolean;
  /** The record on two sheets. */
  short: boolean;
  /** One page for print: what the class found, then the records of all the runs given. */
  print: boolean;
  /** What the class should have found, with its U at 95 %; needs `csv`. */
  stated: StatedValue | null;
  out: string | null;
  /** A report to be held against the recording. */
  verify: string | null;
}

/** What recordings say: a page for printing, unless something else is asked for. */
export async function report(files: string[], options: ReportOptions, terminal: Terminal): Promise<ExitCode> {
  const wrong = wrongUse(files, options);
  if (wrong !== null) {
    terminal.note(wrong);
    return 2;
  }
  if (options.verify !== null) {
    const { verifyReport } = await import('./verify-report.ts');
    return verifyReport(options.verify, files[0], terminal);
  }
  const runs: ClassRun[] = [];
  const printed: ReportedClassRun[] = [];
  let failed = false;
  const fail = (text: string) => {
    terminal.note(text);
    failed = true;
  };
  if (options.samples) {
    const { writeSamples } = await import('./write-samples.ts');
    for (const file of files) {
      const obstacle = await writeSamples(
        file,
        options.out ?? besideRecording(file, '-samples.csv'),
        terminal,
      );
      if (obstacle !== null) fail(obstacle);
    }
    return failed ? 1 : 0;
  }
  for await (const reading of readAll(files, terminal)) {
    if (!reading.ok) fail(reading.text);
    else if (options.csv) runs.push({ file: basename(reading.file), view: reading.run.view });
    else if (options.print) printed.push({ ...reading.run, file: basename(reading.file) });
    else {
      const obstacle = await writeOne(reading.file, reading.run, options, terminal);
      if (obstacle !== null) fail(obstacle);
    }
  }
  if (printed.length > 0 && options.out !== null) {
    const obstacle = await writeClassPage(printed, options.out, terminal);
    if (obstacle !== null) fail(obstacle);
  }
  if (options.csv && runs.length > 0) {
    const groups = classGroups(runs, options.stated);
    const obstacle = write(classCsv(runs, groups), options.out, CSV_MARK, terminal);
    if (obstacle !== null) fail(obstacle);
    if (options.stated !== null && groups.length > 1)
      terminal.note('several things were measured: the stated value was compared with none of them');
    for (const group of groups)
      for (const [at, text] of groupTexts(group).entries())
        terminal.note(at === 0 ? `${group.measurand}: ${text}` : `  ${text}`);
  }
  return failed ? 1 : 0;
}

/** What can't be meant; null where all is well. */
function wrongUse(
  files: string[],
  { json, csv, observations, samples, short, print, stated, out, verify }: ReportOptions,
): string | null {
  if (
    verify !== null &&
    (json || csv || observations || samples || short || print || out !== null || files.length > 1)
  )
    return '--verify takes a report and one recording, and nothing else';
  if ([json, csv, observations, samples, short, print].filter(Boolean).length > 1)
    return 'one kind of report at a time: --json, --csv, --observations, --samples, --short or --print';
  if (print && out === null) return '--print writes one page for all the recordings; name it with --out';
  if (json && files.length > 1) return '--json takes one recording; --csv makes a table of several';
  if (out !== null && !csv && !print && files.length > 1)
    return '--out names one report; leave it out for several recordings';
  if (stated !== null && !csv) return '--stated goes with --csv';
  if ((observations || samples) && out === '-')
    return `--${samples ? 'samples' : 'observations'} writes several files; they need a name`;
  return null;
}

async function* readAll(files: string[], terminal: Terminal) {
  const makeRun = await runMaker();
  for (const file of files) {
    const progress = (share: number) => terminal.progress(`reading ${file}: ${Math.round(100 * share)} %`);
    const reading = await readRun(file, makeRun, { progress });
    terminal.progress('');
    yield { ...reading, file };
  }
}

async function writeOne(
  file: string,
  run: ReportedRun,
  { json, observations, short, out }: ReportOptions,
  terminal: Terminal,
): Promise<string | null> {
  if (json) return write(`${JSON.stringify(reportJson(run), null, 2)}\n`, out, JSON_MARK, terminal);
  if (observations)
    return writeObservations(run, (out ?? besideRecording(file, '')).replace(/\.csv$/, ''), terminal);
  return writePage(run, out ?? besideRecording(file, short ? '-short.html' : '.html'), short, terminal);
}
