import { basename } from 'node:path';
import type { Language } from '../messages/language.ts';
import type { ClassRun, StatedValue } from '../report/class-groups.ts';
import { classGroups } from '../report/class-groups.ts';
import { classCsv } from '../report/class-table.ts';
import { groupTexts } from '../report/group-texts.ts';
import type { ReportedClassRun } from '../report/page/class-page.tsx';
import { type ReportedRun, type RunReading, readRun } from '../report/read-run.ts';
import { reportJson } from '../report/report-json.ts';
import { type MakeRun, runMaker } from '../session/make-run.ts';
import {
  besideRecording,
  CSV_MARK,
  JSON_MARK,
  readingProgress,
  write,
  writeClassPage,
  writeObservations,
  writePage,
} from './report-files.ts';
import type { ExitCode, Terminal } from './terminal.ts';

/**
 * Kinds of report, an option of the command each: one JSON object; a table of all the runs given; sets and nulls, or every sample, of
 * each run as CSV with metadata; the record on two sheets; a sheet to work on by hand; one page for print with what the class found
 * and the records of all runs. Without one, the record of each run as a page.
 */
export const REPORT_KINDS = ['json', 'csv', 'observations', 'samples', 'short', 'sheet', 'print'] as const;
export type ReportKind = (typeof REPORT_KINDS)[number];

export interface ReportOptions {
  /** Those asked for; more than one is refused. */
  kinds: readonly ReportKind[];
  /** What the class should have found, with its U at 95 %; needs `csv`. */
  stated: StatedValue | null;
  out: string | null;
  /** Of pages for print and of what the terminal says of a class; what is made for scripts has none. */
  language: Language;
  /** A report to be held against the recording. */
  verify: string | null;
}

/** Told what stands in the way of a report; others may still be made. */
type Fail = (obstacle: string) => void;

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
  let failed = false;
  const fail = (obstacle: string) => {
    terminal.note(obstacle);
    failed = true;
  };
  const [kind] = options.kinds;
  const makeRun = await runMaker();
  const read = async (file: string) => {
    const reading = await readRun(file, makeRun, { progress: readingProgress(file, terminal) });
    terminal.progress('');
    return reading;
  };
  if (kind === 'csv' || kind === 'print') await reportTogether(files, kind, read, options, terminal, fail);
  else if (kind === 'samples') await samplesOfEach(files, makeRun, options, terminal, fail);
  else await reportEach(files, kind, read, options, terminal, fail);
  return failed ? 1 : 0;
}

/** What can't be meant; null where all is well. */
function wrongUse(files: string[], { kinds, stated, out, verify }: ReportOptions): string | null {
  if (verify !== null && (kinds.length > 0 || out !== null || files.length > 1))
    return '--verify takes a report and one recording, and nothing else';
  if (kinds.length > 1)
    return `one kind of report at a time: ${REPORT_KINDS.map((kind) => `--${kind}`).join(', ')}`;
  const [kind] = kinds;
  if (kind === 'print' && out === null)
    return '--print writes one page for all the recordings; name it with --out';
  if (kind === 'json' && files.length > 1)
    return '--json takes one recording; --csv makes a table of several';
  if (out !== null && kind !== 'csv' && kind !== 'print' && files.length > 1)
    return '--out names one report; leave it out for several recordings';
  if (stated !== null && kind !== 'csv') return '--stated goes with --csv';
  if ((kind === 'observations' || kind === 'samples') && out === '-')
    return `--${kind} writes several files; they need a name`;
  return null;
}

type Read = (file: string) => Promise<RunReading>;

/** A report of each recording by itself. */
async function reportEach(
  files: string[],
  kind: ReportKind | undefined,
  read: Read,
  options: ReportOptions,
  terminal: Terminal,
  fail: Fail,
): Promise<void> {
  for (const file of files) {
    const reading = await read(file);
    const obstacle = reading.ok ? await reportOne(file, reading.run, kind, options, terminal) : reading.text;
    if (obstacle !== null) fail(obstacle);
  }
}

async function reportOne(
  file: string,
  run: ReportedRun,
  kind: ReportKind | undefined,
  { language, out }: ReportOptions,
  terminal: Terminal,
): Promise<string | null> {
  if (kind === 'json')
    return write(`${JSON.stringify(reportJson(run), null, 2)}\n`, out, JSON_MARK, terminal);
  if (kind === 'observations')
    return writeObservations(run, (out ?? besideRecording(file, '')).replace(/\.csv$/, ''), terminal);
  const look = kind === 'short' || kind === 'sheet' ? kind : 'page';
  const ending = look === 'page' ? '.html' : `-${look}.html`;
  return writePage(run, look, language, out ?? besideRecording(file, ending), terminal);
}

async function samplesOfEach(
  files: string[],
  makeRun: MakeRun,
  { out }: ReportOptions,
  terminal: Terminal,
  fail: Fail,
): Promise<void> {
  const { writeSamples } = await import('./write-samples.ts');
  for (const file of files) {
    const path = out ?? besideRecording(file, '-samples.csv');
    const obstacle = await writeSamples(file, path, makeRun, terminal);
    if (obstacle !== null) fail(obstacle);
  }
}

/** One report of all recordings that can be read. */
async function reportTogether(
  files: string[],
  kind: 'csv' | 'print',
  read: Read,
  { language, out, stated }: ReportOptions,
  terminal: Terminal,
  fail: Fail,
): Promise<void> {
  const runs: ReportedClassRun[] = [];
  for (const path of files) {
    const reading = await read(path);
    if (reading.ok) runs.push({ ...reading.run, file: basename(path) });
    else fail(reading.text);
  }
  if (runs.length === 0) return;
  const obstacle =
    kind === 'print' && out !== null
      ? await writeClassPage(runs, language, out, terminal)
      : await writeClassTable(runs, { language, out, stated }, terminal);
  if (obstacle !== null) fail(obstacle);
}

async function writeClassTable(
  runs: readonly ClassRun[],
  { language, out, stated }: Pick<ReportOptions, 'language' | 'out' | 'stated'>,
  terminal: Terminal,
): Promise<string | null> {
  const { RECORD_TEXTS } = await import('../report/page/language.tsx');
  const { localise } = RECORD_TEXTS[language];
  const groups = classGroups(runs, stated);
  const obstacle = write(classCsv(runs, groups), out, CSV_MARK, terminal);
  if (obstacle !== null) return obstacle;
  if (stated !== null && groups.length > 1)
    terminal.note('several things were measured: the stated value was compared with none of them');
  for (const group of groups)
    for (const [at, text] of groupTexts(group).map(localise).entries())
      terminal.note(at === 0 ? `${localise(group.measurand)}: ${text}` : `  ${text}`);
  return null;
}
