import type { TransformCallback } from 'node:stream';
import { Transform } from 'node:stream';

const LINE_FEED = 0x0a;

/**
 * A stream of bytes in which no stretch without a line feed is longer than `mostBytes`: what is longer is cut
 * there, ended with a line feed, and dropped up to its own one. Stands before the line parser, which would keep
 * and copy an endless line in memory; the cut line goes on as one bad line.
 */
export class BoundedBytes extends Transform {
  readonly #mostBytes: number;
  #length = 0;
  #dropping = false;

  constructor(mostBytes: number) {
    super();
    this.#mostBytes = mostBytes;
  }

  override _transform(chunk: Buffer, _encoding: string, done: TransformCallback): void {
    let from = 0;
    while (from < chunk.length) {
      const feed = chunk.indexOf(LINE_FEED, from);
      const end = feed < 0 ? chunk.length : feed + 1;
      this.#pass(chunk.subarray(from, end), feed >= 0);
      from = end;
    }
    done();
  }

  /** One stretch of a line; `ends` where it holds the line feed. */
  #pass(stretch: Buffer, ends: boolean): void {
    if (!this.#dropping) this.#keep(stretch, ends);
    if (!ends) return;
    this.#length = 0;
    this.#dropping = false;
  }

  #keep(stretch: Buffer, ends: boolean): void {
    const length = this.#length + stretch.length - (ends ? 1 : 0);
    if (length <= this.#mostBytes) {
      this.#length = length;
      this.push(stretch);
      return;
    }
    this.push(stretch.subarray(0, this.#mostBytes - this.#length));
    this.push('\n');
    this.#dropping = !ends;
  }
}
