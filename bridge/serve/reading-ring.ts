import type { LiveReading } from '../run/view.ts';
import { thin } from '../session/thin.ts';
import type { Points } from './page-protocol.ts';
import { stateOf } from './reading-state.ts';

const orNaN = (value: number | null): number => value ?? Number.NaN;
const orNull = (value: number, digits: number): number | null =>
  Number.isNaN(value) ? null : Number(value.toFixed(digits));

/**
 * The newest readings of a session, kept once for all viewers: a viewer is only a place in it (`count` when it
 * was last served), so that a hundred slow viewers cost no more memory than one.
 */
export class ReadingRing {
  readonly #tS: Float64Array;
  readonly #along: Float64Array;
  readonly #currentUa: Float64Array;
  readonly #state: Uint8Array;
  /** Readings ever pushed. */
  count = 0;
  /** Grows when the run begins anew. */
  epoch = 0;

  constructor(capacity: number) {
    this.#tS = new Float64Array(capacity);
    this.#along = new Float64Array(capacity);
    this.#currentUa = new Float64Array(capacity);
    this.#state = new Uint8Array(capacity);
  }

  push(reading: LiveReading): void {
    const slot = this.count % this.#tS.length;
    this.#tS[slot] = reading.atS;
    this.#along[slot] = orNaN(reading.lengthCm ?? reading.scaleCm);
    this.#currentUa[slot] = orNaN(reading.currentUa);
    this.#state[slot] = stateOf(reading);
    this.count += 1;
  }

  clear(): void {
    this.count = 0;
    this.epoch += 1;
  }

  /** Readings from number `from` on, as far back as they are kept, at most about `most` of them. */
  since(from: number, most: number): Points {
    const capacity = this.#tS.length;
    const first = Math.max(from, this.count - capacity);
    const picked = thin(this.count - first, most, (index) => this.#currentUa[(first + index) % capacity]);
    const slots = picked.map((index) => (first + index) % capacity);
    return {
      tS: slots.map((slot) => Number(this.#tS[slot].toFixed(4))),
      along: slots.map((slot) => orNull(this.#along[slot], 3)),
      currentUa: slots.map((slot) => orNull(this.#currentUa[slot], 4)),
      state: slots.map((slot) => this.#state[slot]),
    };
  }
}
