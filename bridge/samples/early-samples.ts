import type { SampleFrame } from '../../firmware-protocol/frames.ts';
import type { Board } from './board.ts';

/** Samples that come before the board is known are kept for so long. */
const WAIT_US = 15e6;
/** No more than that many, for a clock may stand still: 15 s of a board that takes 1000 a second, and some. */
const MOST_HELD = 16_384;

export interface EarlySample {
  frame: SampleFrame;
  tUs: number;
}

/** Samples that came before `H` and `C`, each with what held when it came: the last 15 s of them, and 16384 at most. */
export class EarlySamples<Held extends EarlySample> {
  private held: Held[] = [];

  get isEmpty(): boolean {
    return this.held.length === 0;
  }

  hold(sample: Held): void {
    this.held.push(sample);
    // looked through only now and then, so that a long wait costs no more than a short one
    if (sample.tUs - this.held[0].tUs > 2 * WAIT_US || this.held.length > 2 * MOST_HELD)
      this.dropOld(sample.tUs);
  }

  /** All of them, in order, once the board can read them; none before. */
  release(board: Board): Held[] {
    if (this.isEmpty || !board.canRead(this.held[0].frame)) return [];
    this.dropOld(this.held[this.held.length - 1].tUs);
    const released = this.held;
    this.held = [];
    return released;
  }

  private dropOld(nowUs: number): void {
    this.held = this.held.slice(-MOST_HELD).filter(({ tUs }) => nowUs - tUs <= WAIT_US);
  }
}
