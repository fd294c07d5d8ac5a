import { setTimeout as sleep } from 'node:timers/promises';
import { sealPayload } from '../../firmware-protocol/encode.ts';
import type { Said } from '../calc-core/saying.ts';
import type { LineSource, SourceFault, SourceListener } from '../session/line-source.ts';
import { say } from '../words/words.ts';
import type { ListPorts } from './list-ports.ts';
import { listPorts } from './list-ports.ts';
import { PortFinder } from './port-finder.ts';
import { openPort } from './port-link.ts';
import type { SerialTimes } from './serial-times.ts';
import { SERIAL_TIMES } from './serial-times.ts';
import type { VisitEnd } from './visit.ts';
import { Visit } from './visit.ts';

export interface SerialOptions {
  /** Such as `/dev/ttyACM0` or `COM3`. */
  path: string;
  baudRate: number;
  /** Samples a second that the board is told to take; null leaves it as it is. */
  rateHz: number | null;
  list?: ListPorts;
  times?: Partial<SerialTimes>;
}

type Opened = { ok: true; visit: Visit } | { ok: false; fault: SourceFault };

/** The board at a serial port. Comes back by itself when the port does, at its path or under another one. */
export class SerialSource implements LineSource {
  readonly kind = 'serial';
  readonly #options: SerialOptions;
  readonly #times: SerialTimes;
  readonly #finder: PortFinder;
  readonly #closing = new AbortController();
  #listener: SourceListener | null = null;
  #visit: Visit | null = null;
  /** Where the board was last. */
  #home: string;
  #board: string | null = null;
  #up: boolean | null = null;
  #text = '';
  #silenceMs: number;

  constructor(options: SerialOptions) {
    this.#options = options;
    this.#times = { ...SERIAL_TIMES, ...options.times };
    this.#finder = new PortFinder(options.path, options.list ?? listPorts);
    this.#home = options.path;
    this.#silenceMs = this.#times.silenceMs;
  }

  async start(listener: SourceListener): Promise<SourceFault | null> {
    this.#listener = listener;
    const opened = await this.#open(this.#home);
    if (!opened.ok) {
      this.#listener = null;
      return opened.fault;
    }
    void this.#live(opened.visit);
    return null;
  }

  send(payload: string): boolean {
    return this.#visit?.send(sealPayload(payload)) ?? false;
  }

  async close(): Promise<void> {
    this.#closing.abort();
    await this.#visit?.close('closed', say('port-closed'));
    this.#listener = null;
  }

  get #closed(): boolean {
    return this.#closing.signal.aborted;
  }

  /** One visit after the other, until closed. */
  async #live(first: Visit): Promise<void> {
    let visit: Visit | null = first;
    while (visit !== null) {
      this.#visit = visit;
      const end = await visit.ended;
      if (this.#closed) return;
      this.#visit = null;
      this.#board ??= visit.greeting.board;
      this.#noteEnd(visit, end);
      visit = await this.#find(end);
    }
  }

  #noteEnd(visit: Visit, end: VisitEnd): void {
    if (end.why === 'other-board') this.#finder.foreign(visit.path);
    // Opening a port resets many boards: where nothing ever speaks, try ever less often.
    const { silenceMs, mostSilenceMs } = this.#times;
    this.#silenceMs = visit.heardAnything ? silenceMs : Math.min(mostSilenceMs, this.#silenceMs * 2);
    const up = this.#up === null ? null : false;
    this.#tell(up, null, say('link-ended', { path: visit.path, how: end.how, wanted: this.#wanted() }));
  }

  #wanted(): Said {
    return this.#board === null ? say('the-board') : say('board-named', { board: this.#board });
  }

  /** Tries until a port opens where the board may be; null once closed. */
  async #find(end: VisitEnd): Promise<Visit | null> {
    if (end.why !== 'silent') await this.#sleep();
    let listedMs = performance.now();
    while (!this.#closed) {
      const list = this.#board !== null && performance.now() - listedMs > this.#times.listMs;
      if (list) listedMs = performance.now();
      const visit = (await this.#goHome()) ?? (list ? await this.#elsewhere() : null);
      if (visit !== null) return visit;
      await this.#sleep();
    }
    return null;
  }

  async #goHome(): Promise<Visit | null> {
    if (this.#finder.isForeign(this.#home)) return null;
    const opened = await this.#open(this.#home);
    if (opened.ok) return opened.visit;
    this.#tell(this.#up, null, say('link-waiting', { wanted: this.#wanted(), fault: opened.fault }));
    return null;
  }

  async #elsewhere(): Promise<Visit | null> {
    for (const path of await this.#finder.elsewhere(this.#home)) {
      const opened = await this.#open(path);
      if (opened.ok) return opened.visit;
    }
    return null;
  }

  async #open(path: string): Promise<Opened> {
    const visit = new Visit(
      {
        path,
        expectedBoard: this.#board,
        trustPath: path === this.#home,
        rateHz: this.#options.rateHz,
        silenceMs: this.#silenceMs,
        times: this.#times,
      },
      {
        lines: (lines) => this.#listener?.lines(lines),
        sent: (line) => this.#listener?.sent(line),
        up: (board) => this.#arrive(path, board),
        remark: (remark) => this.#tell(this.#up, path, say('link-remark', { path, remark })),
      },
    );
    const opened = await openPort(path, this.#options.baudRate, visit);
    if (!opened.ok) return opened;
    this.#tell(this.#up, path, say('link-open', { path, wanted: this.#wanted() }));
    // Whoever closed meanwhile does not know of this visit yet.
    if (this.#closed) await opened.link.close(say('port-closed'));
    else visit.begin(opened.link);
    return { ok: true, visit };
  }

  #arrive(path: string, board: string | null): void {
    this.#home = path;
    void this.#finder.remember(path);
    this.#tell(true, path, board === null ? say('link-lines', { path }) : say('link-board', { path, board }));
  }

  #tell(up: boolean | null, port: string | null, said: Said): void {
    if (up === this.#up && said.text === this.#text) return;
    this.#up = up;
    this.#text = said.text;
    this.#listener?.link({ up, port, ...said });
  }

  async #sleep(): Promise<void> {
    await sleep(this.#times.retryMs, undefined, { signal: this.#closing.signal }).catch(() => {});
  }
}
