import { Buffer } from 'node:buffer';
import { closeSync, fstatSync, openSync, readSync, unlinkSync, writeSync } from 'node:fs';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { lockRecording } from './lock.ts';
import type { RecordingFault } from './read.ts';
import { headerFault, readFault } from './read.ts';

export interface OpenFile {
  path: string;
  file: number;
  /** Length of the file; 0 for a new one. */
  bytes: number;
  /** When the file was last written to, in ms since 1970; null for a new one. */
  lastWrittenMs: number | null;
  /** Lets others write to it; for after it has been closed. */
  unlock(): void;
}

export type OpenResult =
  | { ok: true; opened: OpenFile }
  | { ok: false; fault: RecordingFault | ({ code: 'exists' | 'in-use' | 'not-writable' } & Message) };

const inUse = (path: string, lock: string): OpenResult => ({
  ok: false,
  fault: { code: 'in-use', ...message('recording-in-use', { path, lock }) },
});

/** Creates a recording; the writer puts its first line. Refuses to touch a file that is already there. */
export function createRecording(path: string): OpenResult {
  try {
    const file = openSync(path, 'ax+');
    const lock = lockRecording(path);
    if (lock.ok)
      return { ok: true, opened: { path, file, bytes: 0, lastWrittenMs: null, unlock: lock.unlock } };
    closeSync(file);
    unlinkSync(path);
    return inUse(path, lock.lock);
  } catch (error) {
    return { ok: false, fault: createFault(path, error as NodeJS.ErrnoException) };
  }
}

function createFault(path: string, error: NodeJS.ErrnoException) {
  if (error.code === 'EEXIST') return { code: 'exists' as const, ...message('recording-exists', { path }) };
  if (error.code === 'ENOENT')
    return { code: 'not-writable' as const, ...message('recording-no-folder', { path }) };
  return {
    code: 'not-writable' as const,
    ...message('recording-uncreated', { path, message: error.message }),
  };
}

/**
 * Opens a recording that ended, to append to it. Nothing in it is changed. A torn last line is given its
 * line feed, so that what follows is not glued to it: readers count it as one damaged line, or as the
 * whole line it happens to be.
 */
export function resumeRecording(path: string): OpenResult {
  try {
    const readable = openSync(path, 'r');
    const fault = headerFault(path, readable);
    closeSync(readable);
    if (fault !== null) return { ok: false, fault };
    const lock = lockRecording(path);
    return lock.ok ? openToAppend(path, lock.unlock) : inUse(path, lock.lock);
  } catch (error) {
    return { ok: false, fault: readFault(path, error as NodeJS.ErrnoException) };
  }
}

function openToAppend(path: string, unlock: () => void): OpenResult {
  let file: number | null = null;
  try {
    file = openSync(path, 'a+');
    const { size, mtimeMs } = fstatSync(file);
    const bytes = size + closeTornLine(file, size);
    return { ok: true, opened: { path, file, bytes, lastWrittenMs: mtimeMs, unlock } };
  } catch (error) {
    if (file !== null) closeSync(file);
    unlock();
    throw error;
  }
}

/** Answers how many bytes it added. */
function closeTornLine(file: number, size: number): number {
  const last = Buffer.alloc(1);
  readSync(file, last, 0, 1, size - 1);
  return last[0] === 0x0a ? 0 : writeSync(file, Buffer.from('\n'));
}
