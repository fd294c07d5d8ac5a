import { Buffer } from 'node:buffer';
import { statSync } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { type HashedPrefix, hashedPrefix, hexOf, noBytes, withMore } from './hashed-prefix.ts';
import type { Chunk, Kept } from './messages.ts';
import { CHUNK_BYTES } from './messages.ts';

/** Chunks that may be under way: what the room has synced to its disk lags by a little. */
const MOST_UNDER_WAY = 8 * CHUNK_BYTES;
/** Less than a chunk waits so long for more. */
export const CHUNK_INTERVAL_MS = 400;
/** Where the room has got nothing further for so long, what is under way is taken for lost. */
const PATIENCE_MS = 5000;

export interface OutboxState {
  /** Bytes that the room has on its disk; null before it said so. */
  keptBytes: number | null;
  /** Which copy the room writes; above 1 where an earlier one differs from this recording. */
  copy: number;
}

/**
 * Sends one recording to the room. The recording itself is the queue: what the room has not got is read from it again. Where the
 * room's bytes are not those of the recording, it is sent from its start as another copy.
 */
export class Outbox {
  readonly #path: string;
  readonly #publish: (chunk: Chunk) => void;
  readonly #tell: () => void;
  #isOpen = false;
  #isClosed = false;
  #working: Promise<void> | null = null;
  #timer: NodeJS.Timeout | null = null;
  #lastSent = 0;
  #lastHeard = 0;
  /** The newest word of the room that has not been looked at. */
  #news: Kept | null = null;
  #copy = 1;
  #keptBytes: number | null = null;
  /** What has been sent, and the ends of the chunks that are under way, oldest first. */
  #sent = noBytes();
  #underWay: HashedPrefix[] = [];

  constructor(path: string, publish: (chunk: Chunk) => void, tell: () => void) {
    this.#path = path;
    this.#publish = publish;
    this.#tell = tell;
  }

  get state(): OutboxState {
    return { keptBytes: this.#keptBytes, copy: this.#copy };
  }

  /** The room has all that is in the file now. */
  isAllKept(): boolean {
    return this.#keptBytes === (statSync(this.#path, { throwIfNoEntry: false })?.size ?? this.#keptBytes);
  }

  /** Whether the room is there. What was under way before it went is sent again. */
  turn(open: boolean): void {
    this.#isOpen = open;
    this.#underWay = [];
    this.#sent = noBytes();
    this.#keptBytes = null;
    this.#lastHeard = performance.now();
    this.wake();
  }

  /** The room says how much it has. */
  heard(kept: Kept): void {
    this.#news = kept;
    this.wake();
  }

  /** The recording has grown, or something else is new. */
  wake(): void {
    if (!this.#isOpen || this.#isClosed || this.#working !== null) return;
    this.#working = this.#work()
      // A file that can't be read now may be readable later: the timer looks again.
      .catch(() => {})
      .finally(() => {
        this.#working = null;
        this.#lookAgain();
      });
  }

  async close(): Promise<void> {
    this.#isClosed = true;
    if (this.#timer !== null) clearTimeout(this.#timer);
    await this.#working;
  }

  #lookAgain(): void {
    if (this.#isClosed || this.#timer !== null) return;
    // A line waits for no longer than this, whatever reading and sending took.
    const sinceSent = performance.now() - this.#lastSent;
    const waitMs = sinceSent < CHUNK_INTERVAL_MS ? CHUNK_INTERVAL_MS - sinceSent : CHUNK_INTERVAL_MS;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.wake();
    }, waitMs);
  }

  async #work(): Promise<void> {
    const file = await open(this.#path, 'r');
    try {
      if (
        this.#news === null &&
        this.#underWay.length > 0 &&
        performance.now() - this.#lastHeard > PATIENCE_MS
      )
        await this.#goBack(file);
      while (this.#isOpen && !this.#isClosed) {
        if (this.#news !== null) await this.#follow(file);
        else if (!(await this.#sendNext(file))) return;
      }
    } finally {
      await file.close();
    }
  }

  /** Goes by the room's word, wherever the recording has the same bytes. */
  async #follow(file: FileHandle): Promise<void> {
    const kept = this.#news as Kept;
    this.#news = null;
    const isOld = kept.copy === this.#copy && kept.bytes === this.#keptBytes;
    if (kept.copy < this.#copy || isOld) return;
    this.#lastHeard = performance.now();
    const known = this.#underWay.find(({ bytes }) => bytes === kept.bytes);
    // Where the recording has fewer bytes, their hash is another one.
    const prefix = known ?? (await hashedPrefix(file, kept.bytes));
    if (hexOf(prefix) !== kept.sha256) {
      this.#copy = kept.copy + 1;
      this.#restart(noBytes());
      this.#keptBytes = null;
    } else if (known === undefined) {
      this.#copy = kept.copy;
      this.#restart(prefix);
    } else {
      this.#underWay = this.#underWay.filter(({ bytes }) => bytes > kept.bytes);
      this.#keptBytes = kept.bytes;
    }
    this.#tell();
  }

  #restart(from: HashedPrefix): void {
    this.#sent = from;
    this.#underWay = [];
    this.#keptBytes = from.bytes;
    this.#lastSent = 0;
  }

  async #goBack(file: FileHandle): Promise<void> {
    const prefix = await hashedPrefix(file, this.#keptBytes ?? 0);
    this.#lastHeard = performance.now();
    this.#restart(prefix);
  }

  /** Sends the next chunk, if it is time for it. False where there is nothing to do now. */
  async #sendNext(file: FileHandle): Promise<boolean> {
    const sent = this.#sent;
    const { bytes: offset } = sent;
    // The first chunk finds out what the room has.
    const most = this.#keptBytes === null ? CHUNK_BYTES : MOST_UNDER_WAY;
    if (offset - (this.#keptBytes ?? 0) >= most) return false;
    const buffer = Buffer.allocUnsafe(CHUNK_BYTES);
    const { bytesRead } = await file.read(buffer, 0, CHUNK_BYTES, offset);
    const isDue = performance.now() - this.#lastSent >= CHUNK_INTERVAL_MS - 1;
    // Meanwhile the room may have gone or come back, or said something.
    if (sent !== this.#sent || this.#news !== null) return true;
    if (bytesRead === 0 || (bytesRead < CHUNK_BYTES && !isDue)) return false;
    const bytes = buffer.subarray(0, bytesRead);
    this.#publish({ v: 1, copy: this.#copy, offset, before: hexOf(sent), bytes });
    if (this.#underWay.length === 0) this.#lastHeard = performance.now();
    this.#lastSent = performance.now();
    this.#sent = withMore(sent, bytes);
    this.#underWay.push(this.#sent);
    return true;
  }
}
