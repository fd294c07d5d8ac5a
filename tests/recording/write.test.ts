import { Buffer } from 'node:buffer';
import {
  closeSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { FileLayer } from '../../bridge/recording/file-layer.ts';
import { fileLayer } from '../../bridge/recording/file-layer.ts';
import { createBeside, createRecording, resumeRecording } from '../../bridge/recording/open.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import type { RecordingOwner, RecordingState } from '../../bridge/recording/write.ts';
import { RecordingWriter } from '../../bridge/recording/write.ts';
import { temporaryFiles } from './temporary.ts';

const file = temporaryFiles();

beforeEach(() => void vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] }));
afterEach(() => void vi.useRealTimers());

const line = (number: number): RecordLine => ({ ms: number, mark: '<', payload: `line ${number}` });
const lines = (from: number, to: number): RecordLine[] =>
  Array.from({ length: to - from }, (_, index) => line(from + index));
const textOf = (records: RecordLine[]): string =>
  `${RECORDING_HEADER}\n${records.map((record) => `${formatRecord(record)}\n`).join('')}`;

const HEADER_BYTES = RECORDING_HEADER.length + 1;
const OPENING: RecordLine = { ms: 0, mark: '!', payload: '{"kind":"set","set":2}' };

/** Keeps each state it is told, and begins a new file with OPENING. */
function listening() {
  const states: RecordingState[] = [];
  const went: string[] = [];
  const owner: RecordingOwner = {
    stateChanged: (state) => void states.push(state),
    openingAnew: (cutPath, latestMs) => {
      went.push(cutPath);
      return [{ ...OPENING, ms: latestMs ?? 99 }];
    },
    wentOn: () => void went.push('on'),
  };
  return { states, went, owner };
}

function writer(path: string, layer?: Partial<FileLayer>) {
  const created = createRecording(path);
  if (!created.ok) throw new Error(created.fault.text);
  const heard = listening();
  return {
    writer: new RecordingWriter(created.opened, heard.owner, { ...fileLayer, ...layer }),
    ...heard,
  };
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

  it('takes another name where nobody chose the name and it is taken', () => {
    const opened = [1, 2, 3].map(() => createBeside(file('a.rec')));
    const names = opened.map((one) => (one.ok ? basename(one.opened.path) : one.fault.text));
    expect(names).toEqual(['a.rec', 'a-2.rec', 'a-3.rec']);
  });

  it('leaves neither file, lock nor open file behind where the disk has no room to begin', () => {
    const before = readdirSync('/proc/self/fd').length;
    for (let room = 0; room < HEADER_BYTES; room += 1) {
      const disk = smallDisk(room);
      const created = createRecording(file('a.rec'), { ...fileLayer, write: disk.write });
      expect(created).toMatchObject({ ok: false, fault: { code: 'disk-full' } });
      expect(readdirSync(dirname(file('a.rec')))).toEqual([]);
    }
    expect(readdirSync('/proc/self/fd').length).toBe(before);
    writer(file('a.rec')).writer.close();
  });

  it('holds an exact prefix whatever byte the disk fails at, and all of it once there is room', () => {
    const records = lines(0, 6);
    const whole = textOf(records);
    for (let room = 0; HEADER_BYTES + room < whole.length; room += 1) {
      const path = file(`${room}.rec`);
      const disk = smallDisk(room);
      const { writer: recording, states } = writer(path, { write: disk.write });
      for (const record of records) recording.append([record]);
      expect(readFileSync(path, 'utf8')).toBe(whole.slice(0, HEADER_BYTES + room));
      expect(recording.state).toMatchObject({
        code: 'disk-full',
        heldBytes: whole.length - HEADER_BYTES - room,
      });
      expect(states.map((state) => state.code)).toEqual(['disk-full']);
      disk.room = Number.POSITIVE_INFINITY;
      vi.advanceTimersByTime(1000);
      expect(readFileSync(path, 'utf8')).toBe(whole);
      expect(recording.state).toMatchObject({ code: 'recording', trouble: null, heldBytes: 0 });
      recording.close();
    }
  });

  it('says at its end what could not be written', () => {
    const disk = smallDisk(40);
    const { writer: recording } = writer(file('a.rec'), { write: disk.write });
    recording.append(lines(0, 6));
    recording.close();
    const lacking = textOf(lines(0, 6)).length - HEADER_BYTES - 40;
    expect(recording.state).toMatchObject({
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
    const { states, owner } = listening();
    const opened = { path: '/dev/full', file: full, bytes: 0, lastWrittenMs: null, unlock: () => {} };
    const recording = new RecordingWriter(opened, owner);
    recording.append([line(1)]);
    expect(states).toHaveLength(1);
    expect(states[0].code).toBe('disk-full');
    expect(states[0].trouble?.text).toContain('the disk is full');
    recording.append([line(2)]);
    expect(recording.state.heldBytes).toBe(textOf([line(1), line(2)]).length - HEADER_BYTES);
    recording.close();
  });

  it('gives up where the disk stays full too long, with an exact prefix in the file', () => {
    const disk = smallDisk(100);
    const { writer: recording } = writer(file('a.rec'), { write: disk.write });
    const long = { ms: 1, mark: '<' as const, payload: 'x'.repeat(1 << 20) };
    for (let count = 0; count < 70; count += 1) recording.append([long]);
    expect(recording.state).toMatchObject({ code: 'given-up', heldBytes: 0 });
    disk.room = Number.POSITIVE_INFINITY;
    vi.advanceTimersByTime(1000);
    recording.append([line(1)]);
    recording.close();
    expect(readFileSync(file('a.rec'), 'latin1')).toBe(textOf([long]).slice(0, HEADER_BYTES + 100));
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
    expect(recording.state.trouble).toBeNull();
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

  it('leaves a file that was cut short at any byte as it is, and goes on in a new one beside it', () => {
    const records = lines(0, 3);
    for (let left = 0; left < textOf(records).length; left += 5) {
      const path = file(`${left}.rec`);
      const { writer: recording, states, went } = writer(path);
      recording.append(records);
      truncateSync(path, left);
      recording.append(lines(3, 4));
      recording.append(lines(4, 5));
      const beside = file(`${left}-2.rec`);
      expect(readFileSync(path, 'utf8')).toBe(textOf(records).slice(0, left));
      expect(readFileSync(beside, 'utf8')).toBe(textOf([{ ...OPENING, ms: 3 }, ...lines(3, 5)]));
      expect(went).toEqual([path, 'on']);
      expect(states.map((state) => [state.code, state.path])).toEqual([['file-cut', beside]]);
      expect(states[0].trouble?.text).toContain(`goes on in ${beside}`);
      recording.close();
    }
  });

  it('goes on so where nothing comes, where it is cut again, and where it was resumed', () => {
    writer(file('a.rec')).writer.close();
    const resumed = resumeRecording(file('a.rec'));
    if (!resumed.ok) throw new Error(resumed.fault.text);
    const { owner, states } = listening();
    const again = new RecordingWriter(resumed.opened, owner);
    for (const [cut, beside] of [
      ['a.rec', 'a-2.rec'],
      ['a-2.rec', 'a-2-2.rec'],
    ]) {
      truncateSync(file(cut), 0);
      vi.advanceTimersByTime(1000);
      expect(readFileSync(file(cut), 'utf8')).toBe('');
      expect(readFileSync(file(beside), 'utf8')).toBe(textOf([{ ...OPENING, ms: 99 }]));
    }
    expect(states.map((state) => state.path)).toEqual([file('a-2.rec'), file('a-2-2.rec')]);
    expect(createRecording(file('a.rec')).ok).toBe(false);
    expect(resumeRecording(file('a-2-2.rec'))).toMatchObject({ ok: false, fault: { code: 'in-use' } });
    again.close();
  });

  it('says at its end that it was cut, where nothing came after it', () => {
    const { writer: recording } = writer(file('a.rec'));
    recording.append(lines(0, 3));
    truncateSync(file('a.rec'), 30);
    recording.close();
    expect(recording.state).toMatchObject({
      code: 'file-cut',
      trouble: { text: expect.stringContaining('behind the cut is lost') },
    });
    expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, 3)).slice(0, 30));
  });

  it('goes on in a new file with what a full disk held back, once there is room for one', () => {
    const disk = smallDisk(Number.POSITIVE_INFINITY);
    const { writer: recording } = writer(file('a.rec'), { write: disk.write });
    recording.append(lines(0, 3));
    disk.room = 0;
    recording.append(lines(3, 4));
    truncateSync(file('a.rec'), 5);
    vi.advanceTimersByTime(1000);
    recording.append(lines(4, 5));
    expect(recording.state.code).toBe('disk-full');
    expect(() => readFileSync(file('a-2.rec'))).toThrow('ENOENT');
    disk.room = Number.POSITIVE_INFINITY;
    vi.advanceTimersByTime(1000);
    expect(readFileSync(file('a-2.rec'), 'utf8')).toBe(textOf([{ ...OPENING, ms: 3 }, ...lines(3, 5)]));
    expect(recording.state).toMatchObject({ code: 'file-cut', heldBytes: 0 });
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
    expect(recording.state.trouble).toBeNull();
    recording.close();
    expect(readFileSync(file('a.rec'), 'utf8')).toBe(textOf(lines(0, 1)));
  });

  it('never throws where the file is closed under it', () => {
    const created = createRecording(file('a.rec'));
    if (!created.ok) throw new Error(created.fault.text);
    const recording = new RecordingWriter(created.opened, listening().owner);
    closeSync(created.opened.file);
    recording.append([line(1)]);
    expect(recording.state).toMatchObject({ code: 'write-failed' });
    vi.advanceTimersByTime(1000);
    recording.close();
  });
});

describe('taking a recording up again', () => {
  function resume(path: string, records: RecordLine[]) {
    const resumed = resumeRecording(path);
    if (!resumed.ok) throw new Error(resumed.fault.text);
    const recording = new RecordingWriter(resumed.opened, listening().owner);
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

  it('says that the disk is full, or what else forbids writing, where a torn line can not be closed', () => {
    writeFileSync(file('a.rec'), `${RECORDING_HEADER}\n12 < S,1`);
    const { write } = smallDisk(0);
    const full = resumeRecording(file('a.rec'), { ...fileLayer, write });
    expect(full).toMatchObject({ ok: false, fault: { code: 'disk-full' } });
    const readOnly = resumeRecording(file('a.rec'), {
      ...fileLayer,
      openToAppend: () => {
        throw failure('EROFS');
      },
    });
    expect(readOnly).toMatchObject({ ok: false, fault: { code: 'not-writable' } });
    resume(file('a.rec'), [line(13)]);
  });

  it('refuses what is no recording', () => {
    writeFileSync(file('a.txt'), 'a letter');
    expect(resumeRecording(file('a.txt'))).toMatchObject({ ok: false, fault: { code: 'not-a-recording' } });
    expect(readFileSync(file('a.txt'), 'utf8')).toBe('a letter');
    expect(resumeRecording(file('none.rec'))).toMatchObject({ ok: false, fault: { code: 'not-found' } });
  });
});
