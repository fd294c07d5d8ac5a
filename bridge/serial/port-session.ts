import { encodeRate, WHO_ARE_YOU } from '../../firmware-protocol/encode.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { BoardIntroduction } from './board-introduction.ts';
import { BOARDS_IN_USE } from './boards-in-use.ts';
import type { PortLink } from './port-link.ts';
import type { SerialTimes } from './serial-times.ts';

export interface PortSessionListener {
  /** Lines of the board that this session is for. Never an empty list. */
  lines(lines: string[]): void;
  sent(line: string): void;
  /** The board's lines come: told once, before the first of them. */
  up(board: string | null): void;
  /** On what is going on, where all is not well. */
  remark(remark: Message): void;
}

export type PortSessionEnd = {
  why: 'gone' | 'silent' | 'other-board' | 'name-in-use' | 'closed';
  how: Message;
};

export interface PortSessionOptions {
  path: string;
  /** The board that must answer; null where any will do. */
  expectedBoard: string | null;
  /** Take what comes as the expected board's if it does not say who it is in time (same path as before). */
  trustPath: boolean;
  rateHz: number | null;
  /** How long silence lasts before the port is closed, in time in which the port could be read. */
  silenceMs: number;
  times: SerialTimes;
}

/** Lines kept while it is not yet known whose they are. */
const MOST_PENDING = 50_000;
const FEW_SOUND_LINES = 20;

/**
 * One stay at one open port: asks the board who it is until it has said so, tells it the rate, keeps back its
 * lines while it may be another board, and watches for silence, which is the only sign of one way to lose a link.
 */
export class PortSession {
  readonly introduction = new BoardIntroduction();
  readonly ended: Promise<PortSessionEnd>;
  readonly #options: PortSessionOptions;
  readonly #listener: PortSessionListener;
  #end: (end: PortSessionEnd) => void = () => {};
  #link: PortLink | null = null;
  /** Why it is being closed from this side. */
  #ending: PortSessionEnd | null = null;
  #timer: NodeJS.Timeout | null = null;
  #watchedMs = performance.now();
  /** Time since the port was opened in which it could be read: while this process is stopped it stands still. */
  #readableMs = 0;
  /** These are counted by it. */
  #heardMs = 0;
  #askedMs = Number.NEGATIVE_INFINITY;
  #heardAnything = false;
  /** Null once the lines are known to be the right board's. */
  #pending: string[] | null = [];
  #allLines = 0;
  #remarked = false;
  #rateTold: string | null = null;

  constructor(options: PortSessionOptions, listener: PortSessionListener) {
    this.#options = options;
    this.#listener = listener;
    this.ended = new Promise((resolve) => {
      this.#end = resolve;
    });
  }

  get path(): string {
    return this.#options.path;
  }

  /** True once any byte came. */
  get heardAnything(): boolean {
    return this.#heardAnything;
  }

  begin(link: PortLink): void {
    this.#link = link;
    this.#watchedMs = performance.now();
    this.#timer = setInterval(() => this.#watch(), this.#options.times.watchMs);
    this.#watch();
  }

  /** Sends a sealed line. */
  send(line: string): boolean {
    if (this.#link === null || !this.#link.write(line)) return false;
    this.#listener.sent(line);
    return true;
  }

  async close(why: PortSessionEnd['why'], how: Message): Promise<void> {
    this.#ending ??= { why, how };
    this.#stopWatching();
    await this.#link?.close(how);
    this.#finish(this.#ending);
  }

  // What the port tells.

  heard(): void {
    this.#heardMs = this.#readableMs;
    this.#heardAnything = true;
  }

  lines(lines: string[]): void {
    if (this.#ending?.why === 'other-board' || this.#ending?.why === 'name-in-use') return;
    this.#allLines += lines.length;
    for (const line of lines) this.#noteLine(line);
    if (this.#isTwin()) return;
    if (this.#pending === null) this.#listener.lines(lines);
    else {
      this.#pending.push(...lines.slice(0, MOST_PENDING - this.#pending.length));
      this.#settleWhose();
    }
  }

  gone(how: Message): void {
    this.#stopWatching();
    // Lost before it could say its name: nothing speaks against its being the board that was there before.
    if (this.#options.trustPath && this.introduction.board === null) this.#adopt();
    this.#finish(this.#ending ?? { why: 'gone', how });
  }

  #finish(end: PortSessionEnd): void {
    BOARDS_IN_USE.release(this.path);
    this.#end(end);
  }

  /** Another board of this one's name speaks at another port: this one is refused. */
  #isTwin(): boolean {
    const { board } = this.introduction;
    if (board === null) return false;
    const at = BOARDS_IN_USE.claim(board, this.path);
    if (at === null) return false;
    void this.close('name-in-use', message('name-in-use', { board, path: at }));
    return true;
  }

  #stopWatching(): void {
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
  }

  #noteLine(line: string): void {
    this.introduction.noteLine(line);
    if (line.startsWith('H')) this.#tellRate();
  }

  #tellRate(): void {
    const { rateHz } = this.#options;
    const { board, rateRefused } = this.introduction;
    if (rateHz === null || board === null || this.introduction.rateHz === rateHz) return;
    if (rateRefused === null) this.send(encodeRate(rateHz));
    else if (this.#rateTold !== rateRefused)
      this.#listener.remark(message('rate-refused', { rateHz, why: rateRefused }));
    this.#rateTold = rateRefused;
  }

  #settleWhose(): void {
    const { expectedBoard } = this.#options;
    const { board } = this.introduction;
    if (expectedBoard === null || board === expectedBoard) this.#adopt();
    else if (board !== null) void this.close('other-board', message('other-board', { board }));
  }

  #adopt(): void {
    const pending = this.#pending;
    this.#pending = null;
    if (pending === null || pending.length === 0) return;
    this.#listener.up(this.introduction.board);
    this.#listener.lines(pending);
  }

  /** A sleeping computer, a stopped process or a slow disk makes a look late: what came meanwhile is read after it. */
  #countReadable(): void {
    const now = performance.now();
    this.#readableMs += Math.min(now - this.#watchedMs, 2 * this.#options.times.watchMs);
    this.#watchedMs = now;
  }

  #watch(): void {
    this.#countReadable();
    const now = this.#readableMs;
    const { times, silenceMs } = this.#options;
    const quietMs = now - this.#heardMs;
    if (quietMs > silenceMs) {
      void this.close('silent', message('nothing-came', { seconds: Math.round(quietMs / 1000) }));
      return;
    }
    const unsure = !this.introduction.complete || quietMs > times.probeMs;
    if (unsure && now - this.#askedMs > times.askMs && this.send(WHO_ARE_YOU)) this.#askedMs = now;
    if (now > times.confirmMs) this.#judgeLate();
  }

  /** The board had time enough to say who it is. */
  #judgeLate(): void {
    if (this.#pending !== null && this.#pending.length > 0) {
      if (this.#options.trustPath) this.#adopt();
      else void this.close('other-board', message('nameless-board'));
    }
    if (this.#remarked || this.#allLines < FEW_SOUND_LINES || this.introduction.soundLines > 0) return;
    this.#remarked = true;
    this.#listener.remark(message('bytes-unreadable'));
  }
}
