import type { Buffer } from 'node:buffer';
import { splitRecords } from '../../bridge/recording/split.ts';
import { foldMaker } from '../../bridge/session/make-fold.ts';
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

/** Lines a second of the whole fold beside the bare loop, over the demo's run, in turns. */
export async function foldSpeed(): Promise<string[]> {
  const run = oneRun();
  const bytes = fileOf(run);
  const makeFold = await foldMaker();
  const whole = () => {
    const fold = makeFold([]);
    const readAt = (buffer: Buffer, position: number) => bytes.copy(buffer, 0, position);
    for (const record of splitRecords(readAt, { bytes: 0, torn: false })) fold.accept(record);
    if (fold.view().nulls.length < 30) throw new Error('the fold found no nulls: this measures nothing');
  };
  const bare = () => {
    if (!(bareLoop(bytes) > 0)) throw new Error('the bare loop read no line: this measures nothing');
  };
  const [wholeMs, bareMs] = alternate(ROUNDS, whole, bare);
  const rate = (ms: number) => `${Math.round((1000 * run.length) / ms).toLocaleString('en')} lines/s`;
  return [
    `whole fold, view at its end: ${rate(wholeMs)}`,
    `bare loop (split, CRC, numbers): ${rate(bareMs)}`,
    `ratio ${(bareMs / wholeMs).toFixed(2)} (wanted: 0.2 or more with the whole estimator in; medians of ${ROUNDS} turns, ${run.length} lines)`,
  ];
}
