import { Buffer } from 'node:buffer';
import { closeSync, fstatSync, openSync } from 'node:fs';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { FileLayer } from './file-layer.ts';
import { fileLayer, writeAll } from './file-layer.ts';
import { lockFile } from './lock.ts';
import type { RecordingFault } from './read.ts';
import { headerFault, readFault } from './read.ts';
import { RECORDING_HEADER } from './record.ts';

/** A recording that begins with its header, open to append to, with its writer's lock. */
export interface OpenFile {
  path: string;
  file: number;
  /** Length of the file. */
  bytes: number;
  /** When the file was last written to, in ms since 1970; null for a new one. */
  lastWrittenMs: number | null;
  /** Lets others write to it; for after it has been closed. */
  unlock(): void;
}

interface OpenFault extends Message {
  code: RecordingFault['code'] | 'exists' | 'in-use' | 'disk-full' | 'not-writable';
}

export type OpenResult = { ok: true; opened: OpenFile } | { ok: false; fault: OpenFault };

const HEADER = Buffer.from(`${RECORDING_HEADER}\n`);

const refused = (fault: OpenFault): OpenResult => ({ ok: false, fault });

const inUse = (path: string): OpenResult =>
  refused({ code: 'in-use', ...message('recording-in-use', { path }) });

/** No room on the disk, or none for this user. */
export const isDiskFull = ({ code }: NodeJS.ErrnoException): boolean =>
  code === 'ENOSPC' || code === 'EDQUOT';

/** Creates a recording with its first line, or leaves nothing behind. Refuses to touch a file that is already there. */
export function createRecording(path: string, layer: FileLayer = fileLayer): OpenResult {
  let file: number;
  try {
    file = layer.create(path);
  } catch (error) {
    return refused(createFault(path, error as NodeJS.ErrnoException));
  }
  const unlock = lockFile(file, path);
  try {
    if (unlock === null) throw new Error('another writer was quicker');
    writeAll(layer, file, HEADER);
    return { ok: true, opened: { path, file, bytes: HEADER.length, lastWrittenMs: null, unlock } };
  } catch (error) {
    layer.close(file);
    layer.remove(path);
    unlock?.();
    return unlock === null ? inUse(path) : refused(createFault(path, error as NodeJS.ErrnoException));
  }
}

/** The same under a name that nobody chose: where it is taken, under the next one that is free (`a-2.rec`). */
export function createBeside(path: string, layer: FileLayer = fileLayer): OpenResult {
  const stem = path.replace(/\.rec$/, '');
  let created = createRecording(path, layer);
  for (let count = 2; !created.ok && created.fault.code === 'exists'; count += 1)
    created = createRecording(`${stem}-${count}.rec`, layer);
  return created;
}

function createFault(path: string, error: NodeJS.ErrnoException): OpenFault {
  if (error.code === 'EEXIST') return { code: 'exists', ...message('recording-exists', { path }) };
  if (error.code === 'ENOENT') return { code: 'not-writable', ...message('recording-no-folder', { path }) };
  if (isDiskFull(error)) return { code: 'disk-full', ...message('recording-no-room', { path }) };
  return { code: 'not-writable', ...message('recording-uncreated', { path, message: error.message }) };
}

/**
 * Opens a recording that ended, to append to it. Nothing in it is changed. A torn last line is given its
 * line feed, so that what follows is not glued to it: readers count it as one damaged line, or as the
 * whole line it happens to be.
 */
export function resumeRecording(path: string, layer: FileLayer = fileLayer): OpenResult {
  try {
    const readable = openSync(path, 'r');
    const fault = headerFault(path, readable);
    closeSync(readable);
    if (fault !== null) return refused(fault);
  } catch (error) {
    return refused(readFault(path, error as NodeJS.ErrnoException));
  }
  let file: number;
  try {
    file = layer.openToAppend(path);
  } catch (error) {
    return refused(appendFault(path, error as NodeJS.ErrnoException));
  }
  const unlock = lockFile(file, path);
  try {
    if (unlock === null) throw new Error('another writer has it');
    const lastWrittenMs = fstatSync(file).mtimeMs;
    closeTornLine(layer, file);
    return { ok: true, opened: { path, file, bytes: layer.size(file), lastWrittenMs, unlock } };
  } catch (error) {
    layer.close(file);
    unlock?.();
    return unlock === null ? inUse(path) : refused(appendFault(path, error as NodeJS.ErrnoException));
  }
}

const appendFault = (path: string, error: NodeJS.ErrnoException): OpenFault =>
  isDiskFull(error)
    ? { code: 'disk-full', ...message('recording-no-room', { path }) }
    : { code: 'not-writable', ...message('recording-unappended', { path, message: error.message }) };

function closeTornLine(layer: FileLayer, file: number): void {
  const last = Buffer.alloc(1);
  layer.read(file, last, layer.size(file) - 1);
  if (last[0] !== 0x0a) writeAll(layer, file, Buffer.from('\n'));
}
