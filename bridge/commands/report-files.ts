import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import type { ReportedRun } from '../report/read-run.ts';
import type { Terminal } from './terminal.ts';

/** Where reports go. */

/** Writes a text to a file, or to standard output for none or `-`. Null where all went well, else what stood in the way. */
export function write(text: string, path: string | null, terminal: Terminal): string | null {
  if (path === null || path === '-') {
    terminal.out(text.replace(/\r?\n$/, ''));
    return null;
  }
  try {
    writeFileSync(path, text);
  } catch (error) {
    return `${path} could not be written: ${(error as Error).message}`;
  }
  terminal.note(`written: ${path}`);
  return null;
}

/** The recording's path with another ending. */
export const besideRecording = (recording: string, ending: string): string =>
  `${recording.replace(/\.rec$/, '')}${ending}`;

/** The page of a run; a file that is no such page of ours is left alone. */
export async function writePage(run: ReportedRun, path: string, terminal: Terminal): Promise<string | null> {
  const { PAGE_MARK, recordPage } = await import('../report/page/record-page.tsx');
  if (path !== '-' && existsSync(path) && !readFileSync(path, 'utf8').slice(0, 500).includes(PAGE_MARK))
    return `${path} is there already and is no report; give another name with --out`;
  return write(recordPage(run), path, terminal);
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
      write(table.csv, path, terminal) ?? write(`${metadata}\n`, `${path}-metadata.json`, terminal);
    if (obstacle !== null) return obstacle;
  }
  return null;
}
