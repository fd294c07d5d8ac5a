import { Buffer } from 'node:buffer';
import { closeSync, openSync, writeSync } from 'node:fs';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { COMPARISON, DEFAULT_SCENE, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';

/** The demo's run at 200 samples a second. */
export const oneRun = (): RecordLine[] => [...simulateRun(DEFAULT_SCENE)];

const textOfRecords = (records: RecordLine[]): string =>
  records.map((record) => `${formatRecord(record)}\n`).join('');

export const fileOf = (records: RecordLine[]): Buffer =>
  Buffer.from(`${RECORDING_HEADER}\n${textOfRecords(records)}`);

const BATCH = 10_000;

/** Writes a recording of a student who goes on and on for so many hours; answers how many records it holds. */
export function writeLongRun(path: string, hours: number): number {
  const { rheostatOhm } = COMPARISON;
  const settings = Array.from({ length: hours * 100 }, (_, index) => rheostatOhm[index % rheostatOhm.length]);
  const scene = sceneWith({
    apparatus: { driver: { driftPercentPerMin: 0 } },
    frontEnd: { galvanometer: { driftCountsPerMin: 0 } },
    task: { ...COMPARISON, rheostatOhm: settings },
  });
  const file = openSync(path, 'wx');
  writeSync(file, `${RECORDING_HEADER}\n`);
  let count = 0;
  let batch: RecordLine[] = [];
  for (const record of simulateRun(scene)) {
    if (record.ms > hours * 3.6e6) break;
    count += 1;
    batch.push(record);
    if (batch.length < BATCH) continue;
    writeSync(file, textOfRecords(batch));
    batch = [];
  }
  writeSync(file, textOfRecords(batch));
  closeSync(file);
  return count;
}
