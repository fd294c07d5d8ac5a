import { Buffer } from 'node:buffer';
import type { Hash } from 'node:crypto';
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { RecordLine } from './record.ts';
import { RECORDING_HEADER } from './record.ts';
import type { ReadAt, ReadProgress } from './split.ts';
import { splitRecords } from './split.ts';

/** Message so that a technician can act on it. */
export interface RecordingFault extends Message {
  code: 'not-found' | 'not-readable' | 'not-a-recording' | 'version-unknown';
}

/** How much of a file is read. */
export interface ReadBounds {
  /** What stands beyond is left out. */
  upToBytes?: number;
  /** Takes in all that is read. */
  hash?: Hash;
}

export interface RecordingReader {
  /** Runs once through the file from its start; a line that breaks the grammar is 'unreadable'. */
  records: Iterable<RecordLine | 'unreadable'>;
  /** Complete once `records` is exhausted. */
  progress: ReadProgress;
  totalBytes: number;
  close(): void;
}

type Opened = { ok: true; reader: RecordingReader } | { ok: false; fault: RecordingFault };

/**
 * Opens a recording for reading and checks its first line. The caller closes it.
 * @param name what faults call it
 */
export function openRecording(path: string, name = path, bounds: ReadBounds = {}): Opened {
  let file: number | null = null;
  try {
    file = openSync(path, 'r');
    const fault = headerFault(name, file);
    if (fault === null) return { ok: true, reader: readerOf(file, bounds) };
    closeSync(file);
    return { ok: false, fault };
  } catch (error) {
    if (file !== null) closeSync(file);
    return { ok: false, fault: readFault(name, error as NodeJS.ErrnoException) };
  }
}

function readerOf(file: number, { upToBytes = Number.POSITIVE_INFINITY, hash }: ReadBounds): RecordingReader {
  const progress: ReadProgress = { bytes: 0, torn: false };
  const readAt: ReadAt = (buffer, position) => {
    const got = readSync(file, buffer, 0, Math.min(buffer.length, upToBytes - position), position);
    hash?.update(buffer.subarray(0, got));
    return got;
  };
  let closed = false;
  return {
    records: splitRecords(readAt, progress),
    progress,
    totalBytes: Math.min(upToBytes, fstatSync(file).size),
    close: () => {
      if (!closed) closeSync(file);
      closed = true;
    },
  };
}

/** The records from a byte on; a line that is cut there is 'unreadable'. May throw what the file system says. */
export function* recordsFrom(path: string, fromByte: number): Generator<RecordLine | 'unreadable', void> {
  const file = openSync(path, 'r');
  try {
    const readAt: ReadAt = (buffer, position) =>
      readSync(file, buffer, 0, buffer.length, fromByte + position);
    yield* splitRecords(readAt, { bytes: 0, torn: false });
  } finally {
    closeSync(file);
  }
}

/** Null where the file begins as a recording of the version that this program reads. */
export function headerFault(name: string, file: number): RecordingFault | null {
  const buffer = Buffer.alloc(64);
  const got = readSync(file, buffer, 0, buffer.length, 0);
  const first = buffer.toString('latin1', 0, got).split(/\r?\n/)[0];
  if (first === RECORDING_HEADER) return null;
  const version = /^#tenwire-recording (\d+)$/.exec(first);
  if (version !== null)
    return { code: 'version-unknown', ...message('recording-version', { name, version: version[1] }) };
  const header = RECORDING_HEADER;
  const begin = JSON.stringify(first.slice(0, 30));
  const said =
    first === ''
      ? message('recording-empty', { name, header })
      : message('recording-other', { name, header, begin });
  return { code: 'not-a-recording', ...said };
}

export function readFault(name: string, error: NodeJS.ErrnoException): RecordingFault {
  if (error.code === 'ENOENT') return { code: 'not-found', ...message('file-not-found', { name }) };
  if (error.code === 'EISDIR') return { code: 'not-a-recording', ...message('file-is-folder', { name }) };
  return { code: 'not-readable', ...message('file-unread', { name, message: error.message }) };
}
