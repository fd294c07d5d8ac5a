import { Buffer } from 'node:buffer';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { FileLayer } from './file-layer.ts';
import { copyToNew, fileLayer } from './file-layer.ts';
import { lockFile } from './lock.ts';
import type { OpenFile } from './open.ts';
import { createBeside, isDiskFull } from './open.ts';
import type { RecordLine } from './record.ts';
import { formatRecord } from './record.ts';
import type { ReadAt } from './split.ts';

/** How the recording fares; shown by the page and the terminal as soon as it changes. */
export interface RecordingState {
  path: string;
  code: 'recording' | 'disk-full' | 'file-gone' | 'file-cut' | 'write-failed' | 'given-up';
  /** Message so that a technician can act on it; null where all is well. */
  trouble: Message | null;
  /** Bytes in the file. */
  writtenBytes: number;
  /** Bytes that wait in memory until they can be written. */
  heldBytes: number;
}

/** Who writes a recording, and hears how it fares. */
export interface RecordingOwner {
  stateChanged(state: RecordingState): void;
  /**
   * What the recording goes on with in a new file, where another program has cut `cutPath` short.
   * @param latestMs no record may be later: what comes next is of then. Null where nothing waits.
   */
  openingAnew(cutPath: string, latestMs: number | null): RecordLine[];
  /** The recording has gone on in a new file, which holds what `openingAnew` said. */
  wentOn(): void;
}

/** What can't be written is kept this long (two hours at 200 lines a second), in order, and retried. */
const MOST_HELD_BYTES = 64 << 20;
const RETRY_MS = 500;
const SYNC_MS = 2000;

/** What could not be written yet; `ms` is the time of its first record. */
interface Held {
  ms: number;
  bytes: Buffer;
}

const textOf = (records: readonly RecordLine[]): Buffer => {
  let text = '';
  for (const record of records) text += `${formatRecord(record)}\n`;
  return Buffer.from(text, 'utf8');
};

/**
 * Appends records to an open file, in order. `append` hands the bytes to the operating system before it
 * returns; what a full disk refuses is held and retried, so that the file is always an exact prefix of
 * what was appended. A failure never throws: it shows in `state`, and the run goes on. A file that another program has
 * cut short is left as it is, and the recording goes on in a new one beside it.
 */
export class RecordingWriter {
  #opened: OpenFile;
  readonly #layer: FileLayer;
  readonly #owner: RecordingOwner;
  #held: Held[] = [];
  /** What stays to be told once all else is well: part of the recording is in another file. */
  #lasting: Message | null = null;
  #state: RecordingState;
  #timer: NodeJS.Timeout | null = null;
  #syncing = false;
  #syncDue = false;

  constructor(opened: OpenFile, owner: RecordingOwner, layer: FileLayer = fileLayer) {
    this.#opened = opened;
    this.#layer = layer;
    this.#owner = owner;
    this.#state = {
      path: opened.path,
      code: 'recording',
      trouble: null,
      writtenBytes: opened.bytes,
      heldBytes: 0,
    };
    this.#timer = setInterval(() => this.#watch(), RETRY_MS).unref();
  }

  get state(): RecordingState {
    return this.#state;
  }

  append(records: readonly RecordLine[]): void {
    if (this.#state.code === 'given-up' || records.length === 0) return;
    this.#hold({ ms: records[0].ms, bytes: textOf(records) });
    // While the disk refuses, only the timer tries: not every line.
    if (this.#state.code !== 'disk-full' && this.#state.code !== 'write-failed') this.#flush();
    else if (this.#state.heldBytes > MOST_HELD_BYTES) this.#giveUp();
  }

  #hold(held: Held): void {
    this.#held.push(held);
    this.#state = { ...this.#state, heldBytes: this.#state.heldBytes + held.bytes.length };
  }

  /** Reads back what was appended, held bytes included: what a fresh fold of the run starts from. */
  readonly readAt: ReadAt = (buffer, position) => {
    if (position < this.#state.writtenBytes) return this.#layer.read(this.#opened.file, buffer, position);
    let before = position - this.#state.writtenBytes;
    for (const { bytes } of this.#held) {
      if (before < bytes.length) return bytes.copy(buffer, 0, before);
      before -= bytes.length;
    }
    return 0;
  };

  /** Writes what it still can and lets go of the file. May be called twice. */
  close(): void {
    if (this.#timer === null) return;
    clearInterval(this.#timer);
    this.#timer = null;
    if (this.#held.length > 0) this.#flush();
    else if (this.#state.code !== 'given-up') this.#lookAtFile(() => this.#sayIfCut());
    if (this.#held.length > 0) this.#loseHeld();
    this.#closeFile();
  }

  #closeFile(): void {
    try {
      this.#layer.close(this.#opened.file);
    } catch (error) {
      this.#fail(error as NodeJS.ErrnoException);
    }
    this.#opened.unlock();
  }

  #flush(): void {
    try {
      if (this.#isCut()) this.#goOnBeside();
      while (this.#held.length > 0) this.#writeHead();
      if (this.#state.code !== 'file-gone') this.#recovered();
      this.#syncDue = true;
    } catch (error) {
      this.#fail(error as NodeJS.ErrnoException);
    }
  }

  #writeHead(): void {
    const head = this.#held[0];
    const written = this.#layer.write(this.#opened.file, head.bytes);
    if (written < head.bytes.length) this.#held[0] = { ...head, bytes: head.bytes.subarray(written) };
    else this.#held.shift();
    this.#state = {
      ...this.#state,
      writtenBytes: this.#state.writtenBytes + written,
      heldBytes: this.#state.heldBytes - written,
    };
  }

  #watch(): void {
    if (this.#state.code === 'given-up') return;
    if (this.#held.length > 0) this.#flush();
    else this.#lookAtFile(() => (this.#isCut() ? this.#flush() : this.#lookForFile()));
    if (this.#syncDue && !this.#syncing) this.#sync();
  }

  /** A folder may become unreachable while the open file can still be written to. */
  #lookAtFile(look: () => void): void {
    try {
      look();
    } catch (error) {
      if (this.#state.code === 'file-gone') return;
      const { path } = this.#state;
      const trouble = message('recording-unseen', { path, message: (error as Error).message });
      this.#change({ code: 'file-gone', trouble });
    }
  }

  /** Another program may cut the file short (`: > a.rec`). */
  #isCut(): boolean {
    return this.#layer.size(this.#opened.file) < this.#state.writtenBytes;
  }

  /** Leaves the cut file as it is. Throws where no new one can be made. */
  #goOnBeside(): void {
    const cutPath = this.#state.path;
    const created = createBeside(cutPath, this.#layer);
    if (!created.ok)
      throw Object.assign(new Error(created.fault.text), {
        code: created.fault.code === 'disk-full' ? 'ENOSPC' : 'EIO',
      });
    this.#closeFile();
    this.#opened = created.opened;
    const { path, bytes } = created.opened;
    this.#state = { ...this.#state, path, writtenBytes: bytes, heldBytes: 0 };
    const ms = this.#held.at(0)?.ms ?? null;
    const held = this.#held;
    this.#held = [];
    this.#hold({ ms: ms ?? 0, bytes: textOf(this.#owner.openingAnew(cutPath, ms)) });
    for (const part of held) this.#hold(part);
    this.#lasting = message('recording-went-on', { cutPath, path });
    this.#owner.wentOn();
  }

  #sayIfCut(): void {
    if (!this.#isCut()) return;
    this.#change({ code: 'file-cut', trouble: message('recording-cut', { path: this.#state.path }) });
  }

  /** A removed file can still be written to, and vanishes when it is closed: look for it. */
  #lookForFile(): void {
    const where = this.#layer.whereIs(this.#opened.file, this.#state.path);
    if (where === 'there') {
      if (this.#state.code === 'file-gone') this.#recovered();
    } else if (this.#state.code !== 'file-gone') this.#gone(where);
    else if (where === 'removed') this.#restore();
  }

  #gone(where: 'moved' | 'removed'): void {
    const { path } = this.#state;
    const trouble = message(where === 'moved' ? 'recording-moved' : 'recording-removed', { path });
    this.#change({ code: 'file-gone', trouble });
  }

  #restore(): void {
    const { path } = this.#state;
    const copy = copyToNew(this.#layer, this.#opened.file, path);
    if (copy === null) return;
    this.#closeFile();
    this.#opened = { ...this.#opened, file: copy, unlock: lockFile(copy, path) ?? (() => {}) };
    this.#recovered();
  }

  /** Asks the disk, now and then and in the background, to make what was written safe from a power cut. */
  #sync(): void {
    this.#syncing = true;
    this.#syncDue = false;
    this.#layer.sync(this.#opened.file, (error) => {
      if (error && this.#timer !== null) this.#fail(error);
      setTimeout(() => {
        this.#syncing = false;
      }, SYNC_MS).unref();
    });
  }

  #recovered(): void {
    const trouble = this.#lasting;
    const code = trouble === null ? 'recording' : 'file-cut';
    if (this.#state.code !== code || this.#state.trouble !== trouble) this.#change({ code, trouble });
  }

  #fail(error: NodeJS.ErrnoException): void {
    const full = isDiskFull(error);
    const code = full ? 'disk-full' : 'write-failed';
    if (this.#state.code === code) return;
    const { path } = this.#state;
    const trouble = full
      ? message('disk-full', { path })
      : message('write-failed', { path, message: error.message });
    this.#change({ code, trouble });
  }

  #loseHeld(): void {
    const { path, heldBytes } = this.#state;
    this.#change({ trouble: message('recording-cut-short', { path, bytes: heldBytes }) });
  }

  #giveUp(): void {
    this.#held = [];
    const trouble = message('recording-given-up', { path: this.#state.path });
    this.#change({ code: 'given-up', trouble, heldBytes: 0 });
  }

  #change(change: Partial<RecordingState>): void {
    this.#state = { ...this.#state, ...change };
    this.#owner.stateChanged(this.#state);
  }
}
