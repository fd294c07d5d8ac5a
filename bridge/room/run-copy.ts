import type { Buffer } from 'node:buffer';
import { type FileHandle, open as openFile } from 'node:fs/promises';
import { type HashedPrefix, hashedPrefix, hexOf, withMore } from './hashed-prefix.ts';
import type { Chunk, Kept } from './messages.ts';

/** What waits to be written; more than a station that keeps to its window ever has under way. */
const MOST_WAITING_BYTES = 1 << 20;
/** A disk that refuses is tried again after so long. */
const RETRY_MS = 2000;

export interface RunCopyOwner {
  /** So much is on the disk, and stays there if the power fails. */
  kept(kept: Kept): void;
  /** What stands in the way of writing; null once it is written again. */
  trouble(text: string | null): void;
}

/** Opens a file to append to; tests put a failing one in its place. */
export type OpenToAppend = (path: string) => Promise<FileHandle>;
export const openToAppend: OpenToAppend = (path) => openFile(path, 'a');

export type Taken = 'appended' | 'known' | 'ahead' | 'differs' | 'too-much';

/** The room's copy of one recording: bytes are appended where they follow, and nothing else changes it. */
export class RunCopy {
  readonly path: string;
  readonly #copy: number;
  readonly #owner: RunCopyOwner;
  readonly #open: OpenToAppend;
  /** What is on the disk, and what will be once all that waits is written. */
  #written: HashedPrefix;
  #accepted: HashedPrefix;
  #waiting: Buffer[] = [];
  #writing: Promise<void> | null = null;
  #timer: NodeJS.Timeout | null = null;
  #isRefused = false;

  private constructor(
    path: string,
    copy: number,
    written: HashedPrefix,
    owner: RunCopyOwner,
    open: OpenToAppend,
  ) {
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
    return new RunCopy(path, copy, await hashedFile(path), owner, open);
  }

  get kept(): Kept {
    return { v: 1, copy: this.#copy, bytes: this.#written.bytes, sha256: hexOf(this.#written) };
  }

  /** Takes a chunk that follows what it has; every other one changes nothing. */
  take({ offset, before, bytes }: Chunk): Taken {
    const { bytes: end } = this.#accepted;
    if (offset < end) return 'known';
    if (offset > end) return 'ahead';
    if (hexOf(this.#accepted) !== before) return 'differs';
    if (end - this.#written.bytes + bytes.length > MOST_WAITING_BYTES || this.#timer !== null)
      return 'too-much';
    this.#waiting.push(bytes);
    this.#accepted = withMore(this.#accepted, bytes);
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
      if ((await file.stat()).size !== this.#written.bytes) await this.#lookAnew();
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
      this.#written = withMore(this.#written, bytes.subarray(at, at + bytesWritten));
      at += bytesWritten;
    }
  }

  /** Somebody removed the file or changed it: what the room says it has is what is there now, and the station sends the rest. */
  async #lookAnew(): Promise<void> {
    this.#waiting = [];
    this.#written = await hashedFile(this.path);
    this.#accepted = this.#written;
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

async function hashedFile(path: string): Promise<HashedPrefix> {
  const file = await openFile(path, 'r');
  try {
    return await hashedPrefix(file);
  } finally {
    await file.close();
  }
}
