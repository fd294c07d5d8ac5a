import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { writeLongRun } from './long-run.ts';

const HOURS = 8;
const MB = 2 ** 20;

/** Reads and folds a long recording as a report does; heap and speed. */
export async function longReplay(): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-bench-'));
  const path = join(folder, 'long.rec');
  try {
    const records = writeLongRun(path, HOURS);
    const makeRun = await runMaker();
    let heap = 0;
    const began = performance.now();
    const folded = await runFromRecording(path, makeRun, {
      progress: () => {
        heap = Math.max(heap, process.memoryUsage().heapUsed);
      },
    });
    const foldedMs = performance.now() - began;
    if (!folded.ok) throw new Error(folded.fault.text);
    const view = folded.run.view();
    const wholeMs = performance.now() - began;
    return [
      `${HOURS} hours at 200 Hz: ${records.toLocaleString('en')} records, ${view.nulls.length} nulls, ${view.work.sets.length} sets`,
      `folded in ${(foldedMs / 1000).toFixed(1)} s, with its view in ${(wholeMs / 1000).toFixed(1)} s: ${Math.round((HOURS * 3.6e6) / wholeMs)} times real time (wanted: 300 or more)`,
      `most heap in use ${Math.round(heap / MB)} MB (wanted: under 250)`,
    ];
  } finally {
    rmSync(folder, { recursive: true });
  }
}
