import assert from 'node:assert/strict';
import { Buffer } from 'node:buffer';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { resumeRecording } from '../../bridge/recording/open.ts';
import { openRecording } from '../../bridge/recording/read.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { RecordingWriter } from '../../bridge/recording/write.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { part } from './figures.ts';
import { STANDS_STILL } from './owner.ts';

const PAGE_BYTES = 4096;
const FEED = 0x0a;

/** The beginning of a simulated run, as long as the cuts need it. */
function recordingOf(leastBytes: number): { bytes: Buffer; records: RecordLine[] } {
  const lines = [RECORDING_HEADER];
  const records: RecordLine[] = [];
  let length = RECORDING_HEADER.length + 1;
  for (const record of simulateRun(DEFAULT_SCENE)) {
    const line = formatRecord(record);
    lines.push(line);
    records.push(record);
    length += Buffer.byteLength(line) + 1;
    if (length >= leastBytes) break;
  }
  return { bytes: Buffer.from(`${lines.join('\n')}\n`), records };
}

const APPENDED: RecordLine[] = [
  { ms: 1e9, mark: '!', payload: '{"kind":"resumed"}' },
  { ms: 1e9, mark: '<', payload: 'S,1,2,3*0000' },
];

function resumeAndAppend(path: string): void {
  const resumed = resumeRecording(path);
  assert(resumed.ok, resumed.ok ? '' : resumed.fault.text);
  const writer = new RecordingWriter(resumed.opened, STANDS_STILL);
  writer.append(APPENDED);
  writer.close();
  assert.equal(writer.state.trouble, null);
}

function recordsIn(path: string) {
  const opened = openRecording(path);
  assert(opened.ok);
  const records = [...opened.reader.records];
  opened.reader.close();
  assert.equal(opened.reader.progress.torn, false);
  return records;
}

/** Every record whose line feed is left must be there; a torn line is a damaged one, or the whole one it happens to be. */
function checkResumed(path: string, left: Buffer, written: Buffer, whole: RecordLine[]): void {
  resumeAndAppend(path);
  const after = readFileSync(path);
  assert(after.subarray(0, left.length).equals(left), 'an earlier byte was changed');
  const feed = left.at(-1) === FEED ? '' : '\n';
  const added = `${feed}${APPENDED.map((record) => `${formatRecord(record)}\n`).join('')}`;
  assert.equal(after.subarray(left.length).toString(), added);
  const kept = written.reduce((feeds, byte) => feeds + (byte === FEED ? 1 : 0), -1);
  const records = recordsIn(path);
  assert.deepEqual(records.slice(0, kept), whole.slice(0, kept));
  assert.deepEqual(records.slice(-APPENDED.length), APPENDED);
  assert(records.length - kept - APPENDED.length <= 1, 'more than the torn line was added');
}

/** A recording cut at each of its last bytes, as it stands and with the zeros that a power cut leaves up to the page's end. */
export const powerCuts = part({
  full: { cuts: 20_000, foldEvery: 500 },
  short: { cuts: 400, foldEvery: 200 },
  async run({ cuts, foldEvery }) {
    const folder = mkdtempSync(join(tmpdir(), 'tenwire-torture-'));
    const path = join(folder, 'cut.rec');
    const { bytes, records } = recordingOf(cuts + 4096);
    const makeRun = await runMaker();
    const figures = { cuts: 0, 'with zeros behind the cut': 0, 'folded as a report is': 0 };
    for (let cut = bytes.length; cut > bytes.length - cuts; cut -= 1) {
      const written = bytes.subarray(0, cut);
      const zeros = Buffer.alloc(PAGE_BYTES - (cut % PAGE_BYTES) + PAGE_BYTES * (cut % 3));
      for (const left of [written, Buffer.concat([written, zeros])]) {
        writeFileSync(path, left);
        checkResumed(path, left, written, records);
      }
      figures.cuts += 1;
      figures['with zeros behind the cut'] += 1;
      if (cut % foldEvery !== 0) continue;
      const whole = await runFromRecording(path, makeRun);
      assert(whole.ok);
      assert(whole.run.view().stream.samples > 0);
      figures['folded as a report is'] += 1;
    }
    rmSync(folder, { recursive: true });
    return figures;
  },
});
