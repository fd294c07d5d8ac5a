import { encodeChannel, encodeHello, encodeSample } from '../../firmware-protocol/encode.ts';
import type { Pty } from '../serial/pty.ts';
import { plugIn } from '../serial/pty.ts';

const WRAP_SEQ = 0x10000;
const WRAP_US = 2 ** 32;
const TURN_MS = 5;

export interface FedBoardOptions {
  name: string;
  /** Samples a second of board time. */
  rateHz: number;
  /** Seconds of board time a second. */
  speed: number;
  /** Where its clock stands when the feeding begins: it may have been on for long. */
  clockS?: number;
}

/** A board at a pseudo-terminal that samples, answers `?`, boots, and may be unplugged; it counts what it sent. */
export class FedBoard {
  readonly #options: FedBoardOptions;
  readonly #path: string;
  #pty: Pty | null = null;
  #answered = 0;
  #timer: NodeJS.Timeout | null = null;
  #begunMs = 0;
  #seq = 0;
  #bootUs: number;
  /** Samples taken since the feeding began; each used up a number. */
  samples = 0;
  boots = 1;

  constructor(path: string, options: FedBoardOptions) {
    this.#path = path;
    this.#options = options;
    this.#bootUs = 1e6 * (options.clockS ?? 0);
  }

  /** Seconds of board time gone by while it was fed. */
  get boardS(): number {
    return this.samples / this.#options.rateHz;
  }

  /** Of the next sample. */
  get nextSeq(): number {
    return this.#seq;
  }

  get plugged(): boolean {
    return this.#pty !== null;
  }

  async plugIn(): Promise<void> {
    this.#pty = await plugIn(this.#path);
    this.#answered = 0;
  }

  async unplug(): Promise<void> {
    const pty = this.#pty;
    this.#pty = null;
    await pty?.unplug();
  }

  begin(): void {
    this.#begunMs = performance.now() - (1000 * this.boardS) / this.#options.speed;
    this.#timer = setInterval(() => this.#turn(), TURN_MS);
  }

  pause(): void {
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
  }

  /** Starts anew: numbers and clock begin at 0. */
  reboot(): void {
    this.boots += 1;
    this.#seq = 0;
    this.#bootUs = -this.boardS * 1e6;
    this.send(this.introduction());
  }

  introduction(): string {
    const { name, rateHz } = this.#options;
    const hello = encodeHello({ board: name, firmware: 'torture', rateHz, senses: 1 });
    return `${hello}\n${encodeChannel({ index: 0, channel: 'gal', minCount: 0, maxCount: 4095 })}\n`;
  }

  send(text: string): void {
    this.#pty?.send(text);
  }

  #turn(): void {
    const dueS = ((performance.now() - this.#begunMs) / 1000) * this.#options.speed;
    let text = this.#answer();
    while (this.boardS < dueS) text += `${this.#sample()}\n`;
    if (text !== '') this.send(text);
  }

  #answer(): string {
    const asked = (this.#pty?.received().split('?').length ?? 1) - 1;
    const answer = asked > this.#answered ? this.introduction() : '';
    this.#answered = asked;
    return answer;
  }

  #sample(): string {
    const tUs = Math.round(this.boardS * 1e6 + this.#bootUs) % WRAP_US;
    const line = encodeSample({
      seq: this.#seq,
      tUs,
      gal: 2048 + Math.round(1000 * Math.sin(this.boardS)),
      pos: null,
      drv: null,
      row: 0,
      flags: 1,
    });
    this.#seq = (this.#seq + 1) % WRAP_SEQ;
    this.samples += 1;
    return line;
  }
}
