import { Buffer } from 'node:buffer';
import {
  closeSync,
  mkdirSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { createRecording, resumeRecording } from '../../bridge/recording/open.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import type { RecordingState } from '../../bridge/recording/write.ts';
import { RecordingWriter } from '../../bridge/recording/write.ts';
import type { WriteLayer } from '../../bridge/recording/write-layer.ts';
import { fileLayer } from '../../bridge/recording/write-layer.ts';
import { temporaryFiles } from './temporary.ts';

const file = temporaryFiles();

beforeEach(() => void vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] }));
afterEach(() => void vi.useRealTimers());

const line = (number: number): RecordLine => ({ ms: number, mark: '<', payload: `line ${number}` });
const lines = (from: number, to: number): RecordLine[] =>
  Array.from({ length: to - from }, (_, index) => line(from + index));
const textOf = (records: RecordLine[]): string =>
  `${RECORDING_HEADER}\n${records.map((record) => `${formatRecord(record)}\n`).join('')}`;

function writer(path: string, layer?: Partial<WriteLayer>) {
  const created = createRecording(path);
  if (!created.ok) throw new Error(created.fault.text);
  const states: RecordingState[] = [];
  const opened = new RecordingWriter(created.opened, (state) => states.push(state), {
    ...fileLayer,
    ...layer,
  });
  return { writer: opened, states };
}

const failure = (code: string): NodeJS.ErrnoException => Object.assign(new Error(code), { code });

/** A disk with room for `room` bytes; `room` may be changed. */
function smallDisk(room: number) {
  const disk = {
    room,
    write(open: number, bytes: Buffer): number {
      if (disk.room === 0) throw failure('ENOSPC');
      const written = fileLayer.write(open, bytes.subarray(0, disk.room));
      disk.room -= written;
      return written;
    },
  };
  return disk;
}

describe('writing a recording', () => {
  it('has each line in the file when append returns', () => {
    const { writer: recording } = writer(file('a.rec'));
    for (let number = 0; number < 5; number += 1) {
      recording.append([line(number)]);
      expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, number + 1)));
    }
    recording.close();
    recording.close();
  });

  it('refuses to overwrite, and leaves what is there alone', () => {
    writeFileSync(file('a.rec'), 'precious');
    expect(createRecording(file('a.rec'))).toMatchObject({ ok: false, fault: { code: 'exists' } });
    expect(readFileSync(file('a.rec'), 'utf8')).toBe('precious');
    expect(createRecording(file('none/a.rec'))).toMatchObject({ ok: false, fault: { code: 'not-writable' } });
  });

  it('holds an exact prefix whatever byte the disk fails at, and all of it once there is room', () => {
    const records = lines(0, 6);
    const whole = textOf(records);
    for (let room = 0; room < whole.length; room += 1) {
      const path = file(`${room}.rec`);
      const disk = smallDisk(room);
      const { writer: recording, states } = writer(path, { write: disk.write });
      for (const record of records) recording.append([record]);
      expect(readFileSync(path, 'utf8')).toBe(whole.slice(0, room));
      expect(recording.state).toMatchObject({ ok: false, code: 'disk-full', heldBytes: whole.length - room });
      expect(states.map((state) => state.ok)).toEqual([false]);
      disk.room = Number.POSITIVE_INFINITY;
      vi.advanceTimersByTime(1000);
      expect(readFileSync(path, 'utf8')).toBe(whole);
      expect(recording.state).toMatchObject({ ok: true, trouble: null, heldBytes: 0 });
      recording.close();
    }
  });

  it('says at its end what could not be written', () => {
    const disk = smallDisk(40);
    const { writer: recording } = writer(file('a.rec'), { write: disk.write });
    recording.append(lines(0, 6));
    recording.close();
    const lacking = textOf(lines(0, 6)).length - 40;
    expect(recording.state).toMatchObject({
      ok: false,
      trouble: { text: expect.stringContaining(`last ${lacking} bytes`) },
    });
  });

  it('reads back all that was appended, written or held, from any byte', () => {
    const disk = smallDisk(40);
    const { writer: recording } = writer(file('a.rec'), { write: disk.write });
    const records = lines(0, 6);
    for (const record of records) recording.append([record]);
    const buffer = Buffer.alloc(7);
    let text = '';
    for (let got = recording.readAt(buffer, 0); got > 0; got = recording.readAt(buffer, text.length))
      text += buffer.toString('latin1', 0, got);
    expect(text).toBe(textOf(records));
    recording.close();
  });

  it('says at once that the kernel has no room (/dev/full), and goes on', () => {
    const full = openSync('/dev/full', 'a');
    const states: RecordingState[] = [];
    const opened = { path: '/dev/full', file: full, bytes: 0, lastWrittenMs: null, unlock: () => {} };
    const recording = new RecordingWriter(opened, (state) => states.push(state));
    recording.append([line(1)]);
    expect(states).toHaveLength(1);
    expect(states[0].code).toBe('disk-full');
    expect(states[0].trouble?.text).toContain('the disk is full');
    recording.append([line(2)]);
    expect(recording.state.heldBytes).toBe(textOf([line(1), line(2)]).length);
    recording.close();
  });

  it('gives up where the disk stays full too long, with an exact prefix in the file', () => {
    const disk = smallDisk(100);
    const { writer: recording } = writer(file('a.rec'), { write: disk.write });
    const long = { ms: 1, mark: '<' as const, payload: 'x'.repeat(1 << 20) };
    for (let count = 0; count < 70; count += 1) recording.append([long]);
    expect(recording.state).toMatchObject({ ok: false, code: 'given-up', heldBytes: 0 });
    disk.room = Number.POSITIVE_INFINITY;
    vi.advanceTimersByTime(1000);
    recording.append([line(1)]);
    recording.close();
    expect(readFileSync(file('a.rec'), 'latin1')).toBe(textOf([long]).slice(0, 100));
  });

  it('notices that its folder was removed, and writes all of it anew once the folder is back', () => {
    const path = file('folder/a.rec');
    mkdirSync(dirname(path));
    const { writer: recording, states } = writer(path);
    recording.append(lines(0, 3));
    rmSync(dirname(path), { recursive: true });
    vi.advanceTimersByTime(1000);
    expect(states.map((state) => state.code)).toEqual(['file-gone']);
    recording.append(lines(3, 5));
    mkdirSync(dirname(path));
    vi.advanceTimersByTime(1000);
    expect(recording.state.ok).toBe(true);
    recording.append(lines(5, 6));
    expect(readFileSync(path, 'utf8')).toBe(textOf(lines(0, 6)));
    recording.close();
  });

  it('goes on in a file that was renamed, and says so', () => {
    const { writer: recording, states } = writer(file('a.rec'));
    recording.append(lines(0, 3));
    renameSync(file('a.rec'), file('b.rec'));
    vi.advanceTimersByTime(2000);
    expect(states.map((state) => state.code)).toEqual(['file-gone']);
    expect(states[0].trouble?.text).toContain('renamed');
    recording.append(lines(3, 5));
    vi.advanceTimersByTime(1000);
    recording.close();
    expect(readFileSync(file('b.rec'), 'utf8')).toBe(textOf(lines(0, 5)));
  });

  it('notices that the file was cut short, at any byte, and writes all of it anew', () => {
    const records = lines(0, 3);
    for (let left = 0; left < textOf(records).length; left += 5) {
      const path = file(`${left}.rec`);
      const { writer: recording, states } = writer(path);
      recording.append(records);
      truncateSync(path, left);
      recording.append(lines(3, 4));
      vi.advanceTimersByTime(1000);
      expect(states.map((state) => state.code)).toEqual(['file-cut', 'recording']);
      recording.append(lines(4, 5));
      expect(readFileSync(path, 'utf8')).toBe(textOf(lines(0, 5)));
      recording.close();
    }
  });

  it('writes a cut file anew also where the program ends at once, and where it was resumed', () => {
    const { writer: recording } = writer(file('a.rec'));
    recording.append(lines(0, 3));
    truncateSync(file('a.rec'), 0);
    recording.close();
    expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, 3)));
    const resumed = resumeRecording(file('a.rec'));
    if (!resumed.ok) throw new Error(resumed.fault.text);
    const again = new RecordingWriter(resumed.opened, () => {});
    again.append(lines(3, 4));
    truncateSync(file('a.rec'), 0);
    again.close();
    expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, 4)));
  });

  it('says for ever that what was too long to be kept is lost, and goes on as a recording', () => {
    const { writer: recording } = writer(file('a.rec'));
    const long = { ms: 1, mark: '<' as const, payload: 'x'.repeat(1 << 20) };
    for (let count = 0; count < 50; count += 1) recording.append([long]);
    truncateSync(file('a.rec'), 0);
    vi.advanceTimersByTime(1000);
    recording.append(lines(0, 2));
    vi.advanceTimersByTime(1000);
    expect(recording.state).toMatchObject({ ok: false, code: 'file-cut', heldBytes: 0 });
    expect(recording.state.trouble?.text).toContain('is lost');
    expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, 2)));
    recording.close();
  });

  it('says that its folder can’t be reached, goes on, and still asks the disk to keep it', () => {
    let reachable = false;
    let synced = 0;
    const { writer: recording, states } = writer(file('a.rec'), {
      whereIs: (open, path) => {
        if (!reachable) throw failure('EACCES');
        return fileLayer.whereIs(open, path);
      },
      sync: () => {
        synced += 1;
      },
    });
    recording.append(lines(0, 1));
    vi.advanceTimersByTime(1000);
    expect(states.map((state) => state.code)).toEqual(['file-gone']);
    expect(states[0].trouble?.text).toContain('EACCES');
    expect(synced).toBe(1);
    reachable = true;
    vi.advanceTimersByTime(1000);
    expect(recording.state.ok).toBe(true);
    recording.close();
    expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, 1)));
  });

  it('never throws where the file is closed under it', () => {
    const created = createRecording(file('a.rec'));
    if (!created.ok) throw new Error(created.fault.text);
    const recording = new RecordingWriter(created.opened, () => {});
    closeSync(created.opened.file);
    recording.append([line(1)]);
    expect(recording.state).toMatchObject({ ok: false, code: 'write-failed' });
    vi.advanceTimersByTime(1000);
    recording.close();
  });
});

describe('taking a recording up again', () => {
  function resume(path: string, records: RecordLine[]) {
    const resumed = resumeRecording(path);
    if (!resumed.ok) throw new Error(resumed.fault.text);
    const recording = new RecordingWriter(resumed.opened, () => {});
    recording.append(records);
    recording.close();
  }

  it('appends and changes nothing, wherever an earlier write was torn', () => {
    const whole = textOf(lines(0, 3));
    for (let cut = RECORDING_HEADER.length; cut <= whole.length; cut += 1) {
      const path = file(`${cut}.rec`);
      const before = whole.slice(0, cut);
      writeFileSync(path, before);
      resume(path, [line(9)]);
      const after = readFileSync(path, 'utf8');
      const feed = before.endsWith('\n') ? '' : '\n';
      expect(after).toBe(`${before}${feed}${formatRecord(line(9))}\n`);
    }
  });

  it('refuses what is no recording', () => {
    writeFileSync(file('a.txt'), 'a letter');
    expect(resumeRecording(file('a.txt'))).toMatchObject({ ok: false, fault: { code: 'not-a-recording' } });
    expect(readFileSync(file('a.txt'), 'utf8')).toBe('a letter');
    expect(resumeRecording(file('none.rec'))).toMatchObject({ ok: false, fault: { code: 'not-found' } });
  });
});
