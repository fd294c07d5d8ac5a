import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Collector } from '../../bridge/room/collector.ts';
import { Copies } from '../../bridge/room/copies.ts';
import { CHUNK_BYTES, type Chunk, chunkOf, type Kept } from '../../bridge/room/messages.ts';
import { openToAppend } from '../../bridge/room/run-copy.ts';
import { runTopic } from '../../bridge/room/topics.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { settle, until } from '../until.ts';

const ROOM = 'physics';
const PLACE = { station: 'bench-4', run: 'run' };
const CHUNK = runTopic(ROOM, PLACE, 'chunk');
const RECORDING = Buffer.from(
  Array.from({ length: 4000 }, (_, index) => `${index} < a line of an invented recording\n`).join(''),
);

const hashOf = (bytes: Buffer): string => createHash('sha256').update(bytes).digest('hex');
const chunkAt = (bytes: Buffer, offset: number, length: number, copy = 1): Buffer =>
  chunkOf({
    ...{ v: 1, copy, offset },
    before: hashOf(bytes.subarray(0, offset)),
    bytes: bytes.subarray(offset, offset + length),
  } as Chunk);

let folder: string;
let collector: Collector;
let said: { kept: Kept[]; troubles: (string | null)[] };

function collect(copies = new Copies(folder)): void {
  said = { kept: [], troubles: [] };
  collector = new Collector(ROOM, copies, {
    kept: (_, kept) => said.kept.push(kept),
    summary: () => {},
    station: () => {},
    trouble: (_, text) => said.troubles.push(text),
  });
}
const copy = (name = 'bench-4--run.rec'): Buffer => readFileSync(join(folder, name));
const keptBytes = (): number => said.kept.at(-1)?.bytes ?? -1;

beforeEach(() => {
  folder = temporaryFolder();
  collect();
});
afterEach(async () => {
  await collector.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('the collector of a room', () => {
  it('keeps the bytes as they came, and says so once they are on the disk', async () => {
    for (let at = 0; at < RECORDING.length; at += CHUNK_BYTES)
      collector.heard(CHUNK, chunkAt(RECORDING, at, CHUNK_BYTES));
    await until(() => keptBytes() === RECORDING.length, 'all of it kept');
    expect(copy().equals(RECORDING)).toBe(true);
    expect(said.kept.at(-1)).toEqual({ v: 1, copy: 1, bytes: RECORDING.length, sha256: hashOf(RECORDING) });
  });

  it('is changed by no chunk that comes twice, late, out of order or with an offset that lies', async () => {
    const part = 1000;
    const count = 20;
    await fc.assert(
      fc.asyncProperty(fc.shuffledSubarray([...Array(count).keys()], { minLength: count }), async (order) => {
        await collector.close();
        rmSync(folder, { recursive: true, force: true });
        collect();
        const whole = RECORDING.subarray(0, count * part);
        for (let round = 0; round < count; round += 1) {
          for (const index of order) collector.heard(CHUNK, chunkAt(whole, index * part, part));
          collector.heard(CHUNK, chunkAt(RECORDING, order[round] * part + 7, part));
          await settle(2);
        }
        await until(() => keptBytes() === whole.length, 'all of it kept');
        expect(copy().equals(whole)).toBe(true);
      }),
      { numRuns: 5 },
    );
  });

  it('goes on in what it had when it was started anew', async () => {
    writeFileSync(join(folder, 'bench-4--run.rec'), RECORDING.subarray(0, 5000));
    collector.heard(CHUNK, chunkAt(RECORDING, 0, 100));
    await until(() => keptBytes() === 5000, 'it says what it has');
    collector.heard(CHUNK, chunkAt(RECORDING, 5000, 5000));
    await until(() => keptBytes() === 10_000, 'the next bytes');
    expect(copy().equals(RECORDING.subarray(0, 10_000))).toBe(true);
  });

  it.each([
    ['removed', () => rmSync(join(folder, 'bench-4--run.rec'))],
    ['cut short', () => writeFileSync(join(folder, 'bench-4--run.rec'), RECORDING.subarray(0, 1000))],
  ])('says what it has where its copy was %s by somebody, and takes the rest anew', async (_how, spoil) => {
    collector.heard(CHUNK, chunkAt(RECORDING, 0, 5000));
    await until(() => keptBytes() === 5000, 'the first');
    spoil();
    collector.heard(CHUNK, chunkAt(RECORDING, 5000, 1000));
    await until(() => keptBytes() < 5000, 'what is there now');
    const there = keptBytes();
    expect(copy().length).toBe(there);
    collector.heard(CHUNK, chunkAt(RECORDING, there, 10_000));
    await until(() => keptBytes() === there + 10_000, 'the rest');
    expect(copy().equals(RECORDING.subarray(0, there + 10_000))).toBe(true);
  });

  it('keeps both where a station has other bytes under the same name', async () => {
    collector.heard(CHUNK, chunkAt(RECORDING, 0, 5000));
    await until(() => keptBytes() === 5000, 'the first');
    const other = Buffer.from(RECORDING.toString().replaceAll('invented', 'other'));
    collector.heard(CHUNK, chunkAt(other, 5000, 1000));
    await settle(50);
    expect(copy().equals(RECORDING.subarray(0, 5000))).toBe(true);
    collector.heard(CHUNK, chunkAt(other, 0, 6000, 2));
    await until(() => said.kept.at(-1)?.copy === 2 && keptBytes() === 6000, 'the other');
    expect(copy().equals(RECORDING.subarray(0, 5000))).toBe(true);
    expect(copy('bench-4--run--2.rec').equals(other.subarray(0, 6000))).toBe(true);
  });

  it('writes nothing, and nothing outside its folder, at messages that are none', async () => {
    const hostile = [
      [CHUNK, Buffer.from('{"v":1}\nabc')],
      [CHUNK, Buffer.alloc(1 << 20)],
      [CHUNK, Buffer.from(`${'['.repeat(50_000)}`)],
      [CHUNK, chunkOf({ v: 1, copy: 1, offset: -5, before: hashOf(Buffer.alloc(0)), bytes: RECORDING })],
      [CHUNK, chunkAt(RECORDING, 0, CHUNK_BYTES + 1)],
      [CHUNK, chunkAt(RECORDING, 0, 100, 10)],
      ['tenwire/physics/../../etc/chunk', chunkAt(RECORDING, 0, 100)],
      ['tenwire/physics/bench-4/..%2f..%2fx/chunk', chunkAt(RECORDING, 0, 100)],
      ['tenwire/physics/bench-4/run/kept', Buffer.from('{}')],
      [runTopic(ROOM, PLACE, 'summary'), Buffer.from('{"v":1,"bench":"x"}')],
      [runTopic(ROOM, PLACE, 'summary'), Buffer.from(`{"a":${'['.repeat(4000)}${']'.repeat(4000)}}`)],
    ] as const;
    for (const [topic, payload] of hostile) collector.heard(topic, payload);
    await settle(50);
    expect(collector.refused.unreadable).toBe(hostile.length);
    expect(readdirSync(folder)).toEqual([]);
  });

  it('takes in so many runs of a station and no more', async () => {
    for (let run = 0; run < 220; run += 1)
      collector.heard(runTopic(ROOM, { ...PLACE, run: `run-${run}` }, 'chunk'), chunkAt(RECORDING, 0, 10));
    await until(() => readdirSync(folder).length === 200, 'as many files as it takes in');
    expect(collector.refused.tooMany).toBe(20);
  });

  it('says that its disk refuses, and goes on where it was once it does no longer', async () => {
    let isFull = false;
    await collector.close();
    const failing = async (path: string) => {
      const file = await openToAppend(path);
      const write = file.write.bind(file);
      // Half of it still goes in, as on a disk that fills up.
      file.write = (async (bytes: Buffer, at: number) => {
        if (!isFull) return write(bytes, at);
        if (at === 0) return write(bytes, 0, bytes.length >> 1);
        throw Object.assign(new Error('ENOSPC: no space left on device'), { code: 'ENOSPC' });
      }) as typeof file.write;
      return file;
    };
    collect(new Copies(folder, failing));
    collector.heard(CHUNK, chunkAt(RECORDING, 0, 1000));
    await until(() => keptBytes() === 1000, 'the first');
    isFull = true;
    collector.heard(CHUNK, chunkAt(RECORDING, 1000, 1000));
    await until(() => said.troubles.length === 1, 'the trouble');
    expect(said.troubles[0]).toMatch(/ENOSPC/);
    isFull = false;
    await until(() => keptBytes() === 1500, 'what went in');
    collector.heard(CHUNK, chunkAt(RECORDING, 1500, 1000));
    await until(() => keptBytes() === 2500, 'the rest');
    expect(said.troubles.at(-1)).toBeNull();
    expect(copy().equals(RECORDING.subarray(0, 2500))).toBe(true);
  });
});
