import type { Buffer } from 'node:buffer';
import { Transform, type TransformCallback } from 'node:stream';

/** No message of ours is longer: a chunk with its topic and head. */
const MOST_BYTES = 40_000;
const MOST_LENGTH_BYTES = 4;

/**
 * Lets MQTT packets through up to a length, and ends a connection that announces a longer one: the broker would gather it in memory
 * first. Reads the fixed header only (MQTT 3.1.1, 2.2.3: seven bits of the length a byte, the lowest first).
 */
export class PacketLengths extends Transform {
  readonly #refuse: () => void;
  /** Bytes of the packet's body that are still to come. */
  #body = 0;
  /** Bytes of its header so far. */
  #header = 0;
  #length = 0;

  constructor(refuse: () => void) {
    super();
    this.#refuse = refuse;
  }

  override _transform(bytes: Buffer, _encoding: BufferEncoding, done: TransformCallback): void {
    for (let at = 0; at < bytes.length; ) {
      if (this.#body > 0) {
        const some = Math.min(this.#body, bytes.length - at);
        this.#body -= some;
        at += some;
      } else {
        this.#readHeader(bytes[at]);
        at += 1;
      }
      if (this.#body > MOST_BYTES || this.#header > MOST_LENGTH_BYTES) {
        this.#refuse();
        done();
        return;
      }
    }
    done(null, bytes);
  }

  #readHeader(byte: number): void {
    this.#header += 1;
    if (this.#header === 1) {
      this.#length = 0;
      return;
    }
    this.#length += (byte & 0x7f) * 128 ** (this.#header - 2);
    if (byte >= 0x80) return;
    this.#body = this.#length;
    this.#header = 0;
  }
}
