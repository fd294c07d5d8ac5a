import { writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import type { Language } from '../messages/language.ts';
import type { ReportedClassRun } from '../report/page/class-page.tsx';
import type { RECORD_PAGES } from '../report/page/record-page.tsx';
import type { ReportedRun } from '../report/read-run.ts';
import type { Progress } from '../session/run-from-recording.ts';
import type { Terminal } from './terminal.ts';
import { holdsSomethingElse } from './written-over.ts';

/** Where reports go. */

/** What every report of a kind begins with: by it an earlier one is known, which may be written over. */
export const JSON_MARK = '"format": "tenwire-report/1"';
/** The whole first line, which names the columns. */
export const CSV_MARK = '\r\n';
export const METADATA_MARK = '"http://www.w3.org/ns/csvw"';

/**
 * Writes a report to a file, or to standard output for none or `-`; a file that is no report of its kind is left alone.
 * Null where all went well, else what stood in the way.
 */
export function write(text: string, path: string | null, mark: string, terminal: Terminal): string | null {
  if (path === null || path === '-') {
    // the line feed comes with the line; a carriage return before it (RFC 4180) is the text's own
    terminal.out(text.replace(/\n$/, ''));
    return null;
  }
  try {
    if (holdsSomethingElse(path, text, mark))
      return `${path} is there already and is no report of this kind; give another name with --out`;
    writeFileSync(path, text);
  } catch (error) {
    return `${path} could not be written: ${(error as Error).message}`;
  }
  terminal.note(`written: ${path}`);
  return null;
}

/** Tells how far a recording has been read. */
export const readingProgress =
  (file: string, terminal: Terminal): Progress =>
  (share) =>
    terminal.progress(`reading ${file}: ${Math.round(100 * share)} %`);

/** The recording's path with another ending. */
export const besideRecording = (recording: string, ending: string): string =>
  `${recording.replace(/\.rec$/, '')}${ending}`;

/** A page of a run. */
export async function writePage(
  run: ReportedRun,
  look: keyof typeof RECORD_PAGES,
  language: Language,
  path: string,
  terminal: Terminal,
): Promise<string | null> {
  const [{ PAGE_MARK }, pages] = await Promise.all([
    import('../report/page/html-page.tsx'),
    import('../report/page/record-page.tsx'),
  ]);
  return write(pages.RECORD_PAGES[look](run, language), path, PAGE_MARK, terminal);
}

/** What a class found, with the records of all its runs. */
export async function writeClassPage(
  runs: readonly ReportedClassRun[],
  language: Language,
  path: string,
  terminal: Terminal,
): Promise<string | null> {
  const [{ PAGE_MARK }, { classPage }] = await Promise.all([
    import('../report/page/html-page.tsx'),
    import('../report/page/class-page.tsx'),
  ]);
  return write(classPage(runs, language), path, PAGE_MARK, terminal);
}

/** Both tables of observations, each with its CSVW metadata beside it. `stem` is their path without an ending. */
export async function writeObservations(
  run: ReportedRun,
  stem: string,
  terminal: Terminal,
): Promise<string | null> {
  const { nullsTable, setsTable } = await import('../report/observations-csv.ts');
  for (const [name, table] of [
    ['sets', setsTable(run.view)],
    ['nulls', nullsTable(run.view)],
  ] as const) {
    const path = `${stem}-${name}.csv`;
    const metadata = JSON.stringify(table.metadata(encodeURIComponent(basename(path))), null, 2);
    const obstacle =
      write(table.csv, path, CSV_MARK, terminal) ??
      write(`${metadata}\n`, `${path}-metadata.json`, METADATA_MARK, terminal);
    if (obstacle !== null) return obstacle;
  }
  return null;
}
