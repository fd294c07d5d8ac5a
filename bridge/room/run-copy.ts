import type { Buffer } from 'node:buffer';
import { createHash, type Hash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import type { Chunk, Kept } from './messages.ts';

/** What waits to be written; more than a station that keeps to its window ever has under way. */
const MOST_WAITING_BYTES = 1 << 20;
/** A disk that refuses is tried again after so long. */
const RETRY_MS = 2000;

/** Bytes at the start of the file, hashed. */
interface Prefix {
  bytes: number;
  hash: Hash;
}

export interface RunCopyOwner {
  /** So much is on the disk, and stays there if the power fails. */
  kept(kept: Kept): void;
  /** What stands in the way of writing; null once it is written again. */
  trouble(text: string | null): void;
}

/** Opens a file to append to; tests put a failing one in its place. */
export type OpenToAppend = (path: string) => Promise<FileHandle>;
export const openToAppend: OpenToAppend = (path) => open(path, 'a');

export type Taken = 'appended' | 'known' | 'ahead' | 'differs' | 'too-much';

/** The room's copy of one recording: bytes are appended where they follow, and nothing else changes it. */
export class RunCopy {
  readonly path: string;
  readonly #copy: number;
  readonly #owner: RunCopyOwner;
  readonly #open: OpenToAppend;
  /** What is on the disk, and what will be once all that waits is written. */
  #written: Prefix;
  #accepted: Prefix;
  #waiting: Buffer[] = [];
  #writing: Promise<void> | null = null;
  #timer: NodeJS.Timeout | null = null;
  #isRefused = false;

  private constructor(path: string, copy: number, written: Prefix, owner: RunCopyOwner, open: OpenToAppend) {
    this.path = path;
    this.#open = open;
    this.#copy = copy;
    this.#written = written;
    this.#accepted = written;
    this.#owner = owner;
  }

  /** Opens a copy, or begins one where there is no such file. Rejects with what the file system says. */
  static async open(
    path: string,
    copy: number,
    owner: RunCopyOwner,
    open: OpenToAppend = openToAppend,
  ): Promise<RunCopy> {
    const file = await open(path);
    await file.close();
    const hash = createHash('sha256');
    let bytes = 0;
    for await (const part of createReadStream(path) as AsyncIterable<Buffer>) {
      hash.update(part);
      bytes += part.length;
    }
    return new RunCopy(path, copy, { bytes, hash }, owner, open);
  }

  get kept(): Kept {
    const { bytes, hash } = this.#written;
    return { v: 1, copy: this.#copy, bytes, sha256: hash.copy().digest('hex') };
  }

  get bytes(): number {
    return this.#written.bytes;
  }

  /** Takes a chunk that follows what it has; every other one changes nothing. */
  take({ offset, before, bytes }: Chunk): Taken {
    const { bytes: end, hash } = this.#accepted;
    if (offset < end) return 'known';
    if (offset > end) return 'ahead';
    if (hash.copy().digest('hex') !== before) return 'differs';
    if (end - this.#written.bytes + bytes.length > MOST_WAITING_BYTES || this.#timer !== null)
      return 'too-much';
    this.#waiting.push(bytes);
    this.#accepted = { bytes: end + bytes.length, hash: hash.copy().update(bytes) };
    this.#write();
    return 'appended';
  }

  async close(): Promise<void> {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
    await this.#writing;
  }

  #write(): void {
    if (this.#writing !== null) return;
    this.#writing = this.#writeWaiting()
      .catch((error: Error) => this.#refused(error))
      .finally(() => {
        this.#writing = null;
        if (this.#waiting.length > 0) this.#write();
      });
  }

  async #writeWaiting(): Promise<void> {
    const file = await this.#open(this.path);
    try {
      for (let next = this.#waiting.shift(); next !== undefined; next = this.#waiting.shift())
        await this.#append(file, next);
      await file.datasync();
    } finally {
      await file.close();
    }
    if (this.#isRefused) this.#owner.trouble(null);
    this.#isRefused = false;
    this.#owner.kept(this.kept);
  }

  async #append(file: FileHandle, bytes: Buffer): Promise<void> {
    for (let at = 0; at < bytes.length; ) {
      const { bytesWritten } = await file.write(bytes, at);
      const part = bytes.subarray(at, at + bytesWritten);
      const { bytes: before, hash } = this.#written;
      this.#written = { bytes: before + bytesWritten, hash: hash.copy().update(part) };
      at += bytesWritten;
    }
  }

  /** What waits is let go: the station has it, and sends it again. */
  #refused(error: Error): void {
    this.#waiting = [];
    this.#accepted = this.#written;
    if (!this.#isRefused) this.#owner.trouble(error.message);
    this.#isRefused = true;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#owner.kept(this.kept);
    }, RETRY_MS);
  }
}
