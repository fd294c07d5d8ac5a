import { Buffer } from 'node:buffer';

const BLOCK_BYTES = 1 << 20;
/** More than two hours at 200 lines a second. */
const MOST_BYTES = 48 << 20;

/** What stands in a recording, kept in memory to write it anew where another program cuts the file short. */
export class WrittenCopy {
  #blocks: Buffer[] = [];
  /** Bytes that are free in the last block. */
  #room = 0;
  #isWhole = true;

  /** False once there was more than is kept; nothing is kept from then on. */
  get isWhole(): boolean {
    return this.#isWhole;
  }

  add(bytes: Buffer): void {
    for (let from = 0; this.#isWhole && from < bytes.length; ) {
      if (this.#room === 0) this.#addBlock();
      const last = this.#blocks.at(-1);
      const copied = last === undefined ? 0 : bytes.copy(last, BLOCK_BYTES - this.#room, from);
      this.#room -= copied;
      from += copied;
    }
  }

  /** All that was added, in order; the copy is empty then. */
  take(): Buffer[] {
    const taken = this.#blocks.map((block, index) =>
      index < this.#blocks.length - 1 ? block : block.subarray(0, BLOCK_BYTES - this.#room),
    );
    this.#empty();
    return taken;
  }

  #addBlock(): void {
    if (this.#blocks.length * BLOCK_BYTES >= MOST_BYTES) {
      this.#empty();
      this.#isWhole = false;
      return;
    }
    this.#blocks.push(Buffer.allocUnsafe(BLOCK_BYTES));
    this.#room = BLOCK_BYTES;
  }

  #empty(): void {
    this.#blocks = [];
    this.#room = 0;
  }
}
