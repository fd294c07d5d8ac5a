import type { Buffer } from 'node:buffer';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { splitRecords } from '../../bridge/recording/split.ts';
import type { MakeRun } from '../../bridge/session/make-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { crc16 } from '../../firmware-protocol/crc16.ts';
import { fileOf, oneRun } from './long-run.ts';
import { alternate } from './medians.ts';

const ROUNDS = 15;

/** The least that a reader of these lines can do: split, check the CRC, turn the fields into numbers. */
function bareLoop(bytes: Buffer): number {
  let sum = 0;
  for (const line of bytes.toString('latin1').split('\n')) {
    const from = line.indexOf(' < S,');
    if (from < 0) continue;
    const star = line.length - 5;
    const payload = line.slice(from + 3, star);
    if (crc16(payload) !== Number.parseInt(line.slice(star + 1), 16)) continue;
    const fields = payload.split(',');
    for (let index = 1; index < 7; index += 1) sum += Number(fields[index]);
    sum += Number.parseInt(fields[7], 16);
  }
  return sum;
}

const foldOf = (bytes: Buffer, makeRun: MakeRun) => {
  const fold = makeRun([]);
  const readAt = (buffer: Buffer, position: number) => bytes.copy(buffer, 0, position);
  for (const record of splitRecords(readAt, { bytes: 0, torn: false })) fold.addRecord(record);
  return fold.view();
};

/** The same lines on a bench without a position sensor: everything is done but finding nulls. */
const withoutSensor = (run: RecordLine[]): RecordLine[] =>
  run.map((record) => {
    if (record.mark !== '!' || !record.payload.includes('"kind":"bench"')) return record;
    const { bench, ...event } = JSON.parse(record.payload);
    const { position: _, ...rest } = bench;
    return { ...record, payload: JSON.stringify({ ...event, bench: rest }) };
  });

/** Lines a second of the whole fold beside the bare loop, over the demo's run, in turns. */
export async function foldSpeed(): Promise<string[]> {
  const run = oneRun();
  const bytes = fileOf(run);
  const sensorless = fileOf(withoutSensor(run));
  const makeRun = await runMaker();
  const whole = () => {
    if (foldOf(bytes, makeRun).nulls.length < 30)
      throw new Error('the fold found no nulls: this measures nothing');
  };
  const bare = () => {
    if (!(bareLoop(bytes) > 0)) throw new Error('the bare loop read no line: this measures nothing');
  };
  const [wholeMs, bareMs, restMs] = alternate(ROUNDS, whole, bare, () => foldOf(sensorless, makeRun));
  const rate = (ms: number) => `${Math.round((1000 * run.length) / ms).toLocaleString('en')} lines/s`;
  return [
    `whole fold, view at its end: ${rate(wholeMs)}`,
    `bare loop (split, CRC, numbers): ${rate(bareMs)}`,
    `ratio ${(bareMs / wholeMs).toFixed(2)} (wanted: 0.2 or more with the whole estimator in; medians of ${ROUNDS} turns, ${run.length} lines)`,
    `share of finding nulls in the fold's time: ${Math.round(100 * (1 - restMs / wholeMs))} %`,
  ];
}

const LOOK_EVERY_MS = 100;

/** Share of one core that a bench at 1 kHz takes, folded and looked at ten times a second of its own time. */
export async function liveShare(): Promise<string[]> {
  const scene = sceneWith({ board: { rateHz: 1000 } });
  const records = [...simulateRun(scene)];
  const fold = (await runMaker())([]);
  const began = performance.now();
  let looked = 0;
  for (const record of records) {
    fold.addRecord(record);
    if (record.ms - looked < LOOK_EVERY_MS) continue;
    looked = record.ms;
    fold.view();
  }
  const tookMs = performance.now() - began;
  const share = (100 * tookMs) / records[records.length - 1].ms;
  return [`one bench at 1 kHz, looked at ten times a second: ${share.toFixed(1)} % of one core (at most 10)`];
}
