import { Buffer } from 'node:buffer';
import { closeSync, openSync, writeSync } from 'node:fs';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { encodeSample } from '../../firmware-protocol/encode.ts';

/** The demo's run at 200 samples a second, repeated without a seam: board clock and sequence numbers go on. */

const SAMPLE_US = 5000;

export const oneRun = (): RecordLine[] => [...simulateRun(DEFAULT_SCENE)];

export const textOf = (records: RecordLine[]): Buffer =>
  Buffer.from(`${RECORDING_HEADER}\n${records.map((record) => `${formatRecord(record)}\n`).join('')}`);

/** The same run once more, `shiftUs` later; what is said once at the start of a recording is left out. */
function later(run: RecordLine[], shiftUs: number): RecordLine[] {
  return run.flatMap((record) => {
    if (record.mark === '!') return [];
    const frame = decodeLine(record.payload);
    const ms = record.ms + shiftUs / 1000;
    if (frame.type !== 'S') return [{ ...record, ms }];
    const tUs = (frame.tUs + shiftUs) % 2 ** 32;
    const seq = (frame.seq + shiftUs / SAMPLE_US) % 65_536;
    return [{ ms, mark: record.mark, payload: encodeSample({ ...frame, seq, tUs }) }];
  });
}

/** Writes a recording of so many hours; answers how many records it holds. */
export function writeLongRun(path: string, hours: number): number {
  const run = oneRun();
  const lastUs = Math.round((run[run.length - 1].ms * 1000) / SAMPLE_US + 1) * SAMPLE_US;
  const file = openSync(path, 'wx');
  writeSync(file, textOf(run));
  let count = run.length;
  for (let shiftUs = lastUs; shiftUs < hours * 3.6e9; shiftUs += lastUs) {
    const again = later(run, shiftUs);
    writeSync(file, again.map((record) => `${formatRecord(record)}\n`).join(''));
    count += again.length;
  }
  closeSync(file);
  return count;
}
