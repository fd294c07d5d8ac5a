import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { Frame, SampleFrame } from '../../firmware-protocol/frames.ts';

/** What the reference firmware calls itself until it is given a name. */
export const UNNAMED_BOARD = 'unnamed';

/** What a board has said of itself since the port was opened: enough to know whether to ask again. */
export class BoardIntroduction {
  /** The board's own name; null until its `H` came. */
  board: string | null = null;
  rateHz: number | null = null;
  /** Reason why the board refused the last rate it was told; null where it did not. */
  rateRefused: string | null = null;
  /** Lines that could be read, of all that came. */
  soundLines = 0;
  readonly #spans = new Set<string>();
  #sample: SampleFrame | null = null;

  /** `H` is known, and the span of each channel that samples bring. */
  get complete(): boolean {
    if (this.board === null || !this.#spans.has('gal')) return false;
    const sample = this.#sample;
    if (sample === null) return true;
    return (['pos', 'drv'] as const).every((name) => sample[name] === null || this.#spans.has(name));
  }

  /** Takes note of a line. Once all is known, samples are not decoded here any more. */
  noteLine(line: string): void {
    const sample = line.charCodeAt(0) === 0x53;
    if (sample && this.#sample !== null) return;
    const frame = decodeLine(line);
    if (frame.type === 'bad') return;
    this.soundLines += 1;
    this.#noteFrame(frame);
  }

  #noteFrame(frame: Frame): void {
    if (frame.type === 'S') this.#sample = frame;
    else if (frame.type === 'C') this.#spans.add(frame.channel);
    else if (frame.type === 'X' && frame.command.startsWith('R')) this.rateRefused = frame.reason;
    else if (frame.type === 'H') {
      this.board = frame.board;
      this.rateHz = frame.rateHz;
    }
  }
}
