import { closeSync, openSync, writeSync } from 'node:fs';
import { basename } from 'node:path';
import { SAMPLES_HEADER, sampleLines, samplesMetadata } from '../report/samples-csv.ts';
import type { LiveReading } from '../run/view.ts';
import type { MakeRun } from '../session/make-run.ts';
import { runFromRecording } from '../session/run-from-recording.ts';
import { METADATA_MARK, readingProgress, write } from './report-files.ts';
import type { Terminal } from './terminal.ts';
import { holdsSomethingElse } from './written-over.ts';

/** Rows that are held before they are written: a recording of hours fits in little memory. */
const ROWS = 2000;

/**
 * Writes the samples of a recording as a table, and its CSVW metadata beside it. Null where all went well, else what stood
 * in the way.
 */
export async function writeSamples(
  recording: string,
  path: string,
  makeRun: MakeRun,
  terminal: Terminal,
): Promise<string | null> {
  let file: number | null = null;
  let rows: LiveReading[] = [];
  const flush = () => {
    // Only now: a recording that can't be read leaves no table behind.
    if (file === null) {
      file = openSync(path, 'w');
      writeSync(file, SAMPLES_HEADER);
    }
    writeSync(file, sampleLines(rows));
    rows = [];
  };
  try {
    if (holdsSomethingElse(path, SAMPLES_HEADER, SAMPLES_HEADER))
      return `${path} is there already and is no table of samples; give another name with --out`;
    const read = await runFromRecording(recording, makeRun, {
      progress: readingProgress(recording, terminal),
      tellReading: (reading) => {
        rows.push(reading);
        if (rows.length >= ROWS) flush();
      },
    });
    terminal.progress('');
    if (!read.ok) return read.fault.text;
    flush();
  } catch (error) {
    return `${path} could not be written: ${(error as Error).message}`;
  } finally {
    if (file !== null) closeSync(file);
  }
  terminal.note(`written: ${path}`);
  const metadata = `${JSON.stringify(samplesMetadata(encodeURIComponent(basename(path))), null, 2)}\n`;
  return write(metadata, `${path}-metadata.json`, METADATA_MARK, terminal);
}
