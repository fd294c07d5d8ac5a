import { Buffer } from 'node:buffer';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { OpenFile } from './open.ts';
import type { RecordLine } from './record.ts';
import { formatRecord, RECORDING_HEADER } from './record.ts';
import type { ReadAt } from './split.ts';
import type { WriteLayer } from './write-layer.ts';
import { fileLayer } from './write-layer.ts';
import { WrittenCopy } from './written-copy.ts';

/** How the recording fares; shown by the page and the terminal as soon as it changes. */
export interface RecordingState {
  path: string;
  ok: boolean;
  code: 'recording' | 'disk-full' | 'file-gone' | 'file-cut' | 'write-failed' | 'given-up';
  /** Message so that a technician can act on it; null where all is well. */
  trouble: Message | null;
  /** Bytes in the file. */
  writtenBytes: number;
  /** Bytes that wait in memory until they can be written. */
  heldBytes: number;
}

/** What can't be written is kept this long (two hours at 200 lines a second), in order, and retried. */
const MOST_HELD_BYTES = 64 << 20;
const HEADER_LINE = `${RECORDING_HEADER}\n`;
const RETRY_MS = 500;
const SYNC_MS = 2000;

/**
 * Appends records to an open file, in order. `append` hands the bytes to the operating system before it
 * returns; what a full disk refuses is held and retried, so that the file is always an exact prefix of
 * what was appended. A failure never throws: it shows in `state`, and the run goes on.
 */
export class RecordingWriter {
  #file: number;
  readonly #unlock: () => void;
  readonly #layer: WriteLayer;
  readonly #onState: (state: RecordingState) => void;
  #held: Buffer[] = [];
  readonly #copy = new WrittenCopy();
  /** What can't be made good: part of the recording is lost for ever. */
  #lasting: Message | null = null;
  #state: RecordingState;
  #timer: NodeJS.Timeout | null = null;
  #syncing = false;
  #syncDue = false;

  constructor(opened: OpenFile, onState: (state: RecordingState) => void, layer: WriteLayer = fileLayer) {
    this.#file = opened.file;
    this.#unlock = opened.unlock;
    this.#layer = layer;
    this.#onState = onState;
    this.#state = {
      path: opened.path,
      ok: true,
      code: 'recording',
      trouble: null,
      writtenBytes: opened.bytes,
      heldBytes: 0,
    };
    this.#timer = setInterval(() => this.#watch(), RETRY_MS).unref();
    if (opened.bytes === 0) this.#take(HEADER_LINE);
    else this.#copyEarlier(opened.bytes);
  }

  get state(): RecordingState {
    return this.#state;
  }

  append(records: readonly RecordLine[]): void {
    if (this.#state.code === 'given-up' || records.length === 0) return;
    let text = '';
    for (const record of records) text += `${formatRecord(record)}\n`;
    this.#take(text);
  }

  #take(text: string): void {
    const bytes = Buffer.from(text, 'utf8');
    this.#held.push(bytes);
    this.#state = { ...this.#state, heldBytes: this.#state.heldBytes + bytes.length };
    // While the disk refuses, only the timer tries: not every line.
    if (this.#state.ok) this.#flush();
    else if (this.#state.heldBytes > MOST_HELD_BYTES) this.#giveUp();
  }

  /** Reads back what was appended, held bytes included: what a fresh fold of the run starts from. */
  readonly readAt: ReadAt = (buffer, position) => {
    if (position < this.#state.writtenBytes) return this.#layer.read(this.#file, buffer, position);
    let before = position - this.#state.writtenBytes;
    for (const bytes of this.#held) {
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
    if (this.#state.code !== 'given-up') {
      this.#flush();
      this.#lookAtFile(() => this.#lookForCut());
    }
    if (this.#held.length > 0) this.#loseHeld();
    try {
      this.#layer.close(this.#file);
    } catch (error) {
      this.#fail(error as NodeJS.ErrnoException);
    }
    this.#unlock();
  }

  #flush(): void {
    try {
      while (this.#held.length > 0) this.#writeHead();
      if (!this.#state.ok && this.#state.code !== 'file-gone') this.#recovered();
      this.#syncDue = true;
    } catch (error) {
      this.#fail(error as NodeJS.ErrnoException);
    }
  }

  #writeHead(): void {
    const head = this.#held[0];
    const written = this.#layer.write(this.#file, head);
    this.#copy.add(head.subarray(0, written));
    if (written < head.length) this.#held[0] = head.subarray(written);
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
    if (this.#held.length === 0)
      this.#lookAtFile(() => {
        this.#lookForCut();
        this.#lookForFile();
      });
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
      this.#change({ ok: false, code: 'file-gone', trouble });
    }
  }

  /** Another program may cut the file short (`: > a.rec`): what stood in it is written anew from memory. */
  #lookForCut(): void {
    if (this.#layer.size(this.#file) >= this.#state.writtenBytes) return;
    const { path } = this.#state;
    const whole = this.#copy.isWhole;
    const trouble = message(whole ? 'recording-cut' : 'recording-cut-lost', { path });
    if (!whole) this.#lasting = trouble;
    this.#layer.empty(this.#file);
    this.#held = [...(whole ? this.#copy.take() : [Buffer.from(HEADER_LINE)]), ...this.#held];
    const heldBytes = this.#held.reduce((sum, bytes) => sum + bytes.length, 0);
    this.#change({ ok: false, code: 'file-cut', trouble, writtenBytes: 0, heldBytes });
    this.#flush();
  }

  #copyEarlier(bytes: number): void {
    const buffer = Buffer.allocUnsafe(1 << 20);
    for (let at = 0; at < bytes && this.#copy.isWhole; ) {
      const got = this.#layer.read(this.#file, buffer, at);
      if (got === 0) return;
      this.#copy.add(buffer.subarray(0, got));
      at += got;
    }
  }

  /** A removed file can still be written to, and vanishes when it is closed: look for it. */
  #lookForFile(): void {
    const where = this.#layer.whereIs(this.#file, this.#state.path);
    if (where === 'there') {
      if (this.#state.code === 'file-gone') this.#recovered();
    } else if (this.#state.code !== 'file-gone') this.#gone(where);
    else if (where === 'removed') this.#restore();
  }

  #gone(where: 'moved' | 'removed'): void {
    const { path } = this.#state;
    const trouble = message(where === 'moved' ? 'recording-moved' : 'recording-removed', { path });
    this.#change({ ok: false, code: 'file-gone', trouble });
  }

  #restore(): void {
    const restored = this.#layer.restore(this.#file, this.#state.path);
    if (restored === null) return;
    this.#layer.close(this.#file);
    this.#file = restored;
    this.#recovered();
  }

  /** Asks the disk, now and then and in the background, to make what was written safe from a power cut. */
  #sync(): void {
    this.#syncing = true;
    this.#syncDue = false;
    this.#layer.sync(this.#file, (error) => {
      if (error && this.#timer !== null) this.#fail(error);
      setTimeout(() => {
        this.#syncing = false;
      }, SYNC_MS).unref();
    });
  }

  #recovered(): void {
    const trouble = this.#lasting;
    if (trouble === null) this.#change({ ok: true, code: 'recording', trouble });
    else if (this.#state.code !== 'file-cut') this.#change({ ok: false, code: 'file-cut', trouble });
  }

  #fail(error: NodeJS.ErrnoException): void {
    const full = error.code === 'ENOSPC' || error.code === 'EDQUOT';
    const code = full ? 'disk-full' : 'write-failed';
    if (this.#state.code === code) return;
    const { path } = this.#state;
    const trouble = full
      ? message('disk-full', { path })
      : message('write-failed', { path, message: error.message });
    this.#change({ ok: false, code, trouble });
  }

  #loseHeld(): void {
    const { path, heldBytes } = this.#state;
    this.#change({ ok: false, trouble: message('recording-cut-short', { path, bytes: heldBytes }) });
  }

  #giveUp(): void {
    this.#held = [];
    const trouble = message('recording-given-up', { path: this.#state.path });
    this.#change({ ok: false, code: 'given-up', trouble, heldBytes: 0 });
  }

  #change(change: Partial<RecordingState>): void {
    this.#state = { ...this.#state, ...change };
    this.#onState(this.#state);
  }
}
