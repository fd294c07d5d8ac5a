import assert from 'node:assert/strict';
import type { Buffer } from 'node:buffer';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FileLayer } from '../../bridge/recording/file-layer.ts';
import { fileLayer } from '../../bridge/recording/file-layer.ts';
import { createRecording } from '../../bridge/recording/open.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { RecordingWriter } from '../../bridge/recording/write.ts';
import { part } from './figures.ts';
import { STANDS_STILL } from './owner.ts';

/** Full disk, disk gone, read-only, quota. */
const ERRORS = ['ENOSPC', 'EIO', 'EROFS', 'EDQUOT'] as const;
const CALLS = ['write', 'size', 'create'] as const;
type Call = (typeof CALLS)[number];

const record = (number: number): RecordLine => ({ ms: number, mark: '<', payload: `line ${number}` });
const textOf = (records: RecordLine[]): string =>
  `${RECORDING_HEADER}\n${records.map((one) => `${formatRecord(one)}\n`).join('')}`;

/** A layer of which one kind of call fails from its n-th on, until it is mended. The failing write takes half of its bytes first. */
function failingLayer(call: Call, from: number, code: string) {
  let calls = 0;
  let mended = false;
  const fails = () => !mended && ++calls > from;
  const failure = () => Object.assign(new Error(code), { code });
  const guarded =
    <Arguments extends unknown[], Answer>(kind: Call, real: (...given: Arguments) => Answer) =>
    (...given: Arguments): Answer => {
      if (kind === call && fails()) throw failure();
      return real(...given);
    };
  const write = (file: number, bytes: Buffer): number => {
    const failing = call === 'write' && fails();
    if (failing && calls > from + 1) throw failure();
    return fileLayer.write(file, failing ? bytes.subarray(0, bytes.length >> 1) : bytes);
  };
  const layer: FileLayer = {
    ...fileLayer,
    write,
    size: guarded('size', fileLayer.size),
    create: guarded('create', fileLayer.create),
  };
  return {
    layer,
    mend: () => {
      mended = true;
    },
  };
}

/** One run of `lines` lines with the failure; answers whether it showed at all. */
function runOnce(
  path: string,
  failing: ReturnType<typeof failingLayer>,
  lines: number,
  mend: boolean,
): boolean {
  const created = createRecording(path, failing.layer);
  if (!created.ok) {
    assert(!existsSync(path), 'a recording that could not begin was left behind');
    return true;
  }
  const writer = new RecordingWriter(created.opened, STANDS_STILL, failing.layer);
  const records = Array.from({ length: lines }, (_, number) => record(number));
  for (const one of records) writer.append([one]);
  const whole = textOf(records);
  const inFile = readFileSync(path, 'utf8');
  assert(whole.startsWith(inFile), 'the file is no exact prefix');
  assert.equal(writer.state.heldBytes, whole.length - inFile.length);
  assert.equal(writer.state.trouble === null, writer.state.heldBytes === 0);
  const failed = writer.state.trouble !== null;
  if (mend) failing.mend();
  writer.close();
  const atEnd = readFileSync(path, 'utf8');
  assert(whole.startsWith(atEnd));
  if (mend) assert.equal(atEnd, whole);
  else if (writer.state.heldBytes > 0)
    assert(writer.state.trouble?.text.includes(`last ${whole.length - atEnd.length} bytes`));
  return failed;
}

/** The disk fails at the n-th call, for every n of a run: it stays so to the end, or is mended before it. */
export const failingDisk = part({
  full: { lines: 400 },
  short: { lines: 30 },
  async run({ lines }) {
    const folder = mkdtempSync(join(tmpdir(), 'tenwire-torture-'));
    let runs = 0;
    let failed = 0;
    for (const code of ERRORS)
      for (const call of CALLS)
        for (let from = 0; from <= lines + 1; from += 1)
          for (const mend of [true, false]) {
            const path = join(folder, `${runs}.rec`);
            failed += runOnce(path, failingLayer(call, from, code), lines, mend) ? 1 : 0;
            rmSync(path, { force: true });
            runs += 1;
          }
    rmSync(folder, { recursive: true });
    return { runs, 'in which the disk failed': failed, lines };
  },
});
