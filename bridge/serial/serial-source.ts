import { setTimeout as sleep } from 'node:timers/promises';
import { sealPayload } from '../../firmware-protocol/encode.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { UNNAMED_BOARD } from './board-introduction.ts';
import type { LineSource, SourceFault, SourceListener } from './line-source.ts';
import type { ListPorts } from './list-ports.ts';
import { listPorts } from './list-ports.ts';
import { PortFinder } from './port-finder.ts';
import { openPort } from './port-link.ts';
import type { PortSessionEnd } from './port-session.ts';
import { PortSession } from './port-session.ts';
import type { SerialTimes } from './serial-times.ts';
import { SERIAL_TIMES } from './serial-times.ts';

export interface SerialOptions {
  /** Such as `/dev/ttyACM0` or `COM3`. */
  path: string;
  baudRate: number;
  /** Samples a second that the board is told to take; null leaves it as it is. */
  rateHz: number | null;
  list?: ListPorts;
  times?: Partial<SerialTimes>;
}

type Opened = { ok: true; portSession: PortSession } | { ok: false; fault: SourceFault };

/** The board at a serial port. Comes back by itself when the port does, at its path or under another one. */
export class SerialSource implements LineSource {
  readonly kind = 'serial';
  readonly #options: SerialOptions;
  readonly #times: SerialTimes;
  readonly #finder: PortFinder;
  readonly #closing = new AbortController();
  #listener: SourceListener | null = null;
  #portSession: PortSession | null = null;
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
    void this.#follow(opened.portSession);
    return null;
  }

  send(payload: string): boolean {
    return this.#portSession?.send(sealPayload(payload)) ?? false;
  }

  async close(): Promise<void> {
    this.#closing.abort();
    await this.#portSession?.close('closed', message('port-closed'));
    this.#listener = null;
  }

  get #closed(): boolean {
    return this.#closing.signal.aborted;
  }

  /** One port session after the other, until closed. */
  async #follow(first: PortSession): Promise<void> {
    let portSession: PortSession | null = first;
    while (portSession !== null) {
      this.#portSession = portSession;
      const end = await portSession.ended;
      if (this.#closed) return;
      this.#portSession = null;
      if (end.why !== 'name-in-use') this.#board ??= portSession.introduction.board;
      this.#noteEnd(portSession, end);
      portSession = await this.#find(end);
    }
  }

  #noteEnd(portSession: PortSession, end: PortSessionEnd): void {
    if (end.why === 'other-board' || end.why === 'name-in-use') this.#finder.noteForeign(portSession.path);
    // Opening a port resets many boards: where nothing ever speaks, try ever less often.
    const { silenceMs, mostSilenceMs } = this.#times;
    this.#silenceMs = portSession.heardAnything ? silenceMs : Math.min(mostSilenceMs, this.#silenceMs * 2);
    const up = this.#up === null ? null : false;
    this.#tell(
      up,
      null,
      message('link-ended', { path: portSession.path, how: end.how, wanted: this.#wanted() }),
    );
  }

  /** Every board is called the same before somebody names it: under another path it may be another bench's. */
  get #mayBeAnyBoard(): boolean {
    return this.#board === UNNAMED_BOARD && !this.#finder.knowsByNumber;
  }

  #wanted(): Message {
    if (this.#board === null) return message('the-board');
    return this.#mayBeAnyBoard ? message('board-unnamed') : message('board-named', { board: this.#board });
  }

  /** Tries until a port opens where the board may be; null once closed. */
  async #find(end: PortSessionEnd): Promise<PortSession | null> {
    if (end.why !== 'silent') await this.#sleep();
    let listedMs = performance.now();
    while (!this.#closed) {
      const mayLook = this.#board !== null || this.#finder.isForeign(this.#home);
      const list = mayLook && performance.now() - listedMs > this.#times.listMs;
      if (list) listedMs = performance.now();
      const portSession = (await this.#goHome()) ?? (list ? await this.#elsewhere() : null);
      if (portSession !== null) return portSession;
      await this.#sleep();
    }
    return null;
  }

  async #goHome(): Promise<PortSession | null> {
    if (this.#finder.isForeign(this.#home)) return null;
    const opened = await this.#open(this.#home);
    if (opened.ok) return opened.portSession;
    this.#tell(this.#up, null, message('link-waiting', { wanted: this.#wanted(), fault: opened.fault }));
    return null;
  }

  async #elsewhere(): Promise<PortSession | null> {
    if (this.#mayBeAnyBoard) return null;
    const paths = await this.#finder.elsewhere(this.#home);
    // A board that was refused has no name to look for elsewhere: it is waited for at its own port.
    for (const path of this.#board === null ? [] : paths) {
      const opened = await this.#open(path);
      if (opened.ok) return opened.portSession;
    }
    return null;
  }

  async #open(path: string): Promise<Opened> {
    const portSession = new PortSession(
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
        remark: (remark) => this.#tell(this.#up, path, message('link-remark', { path, remark })),
      },
    );
    const opened = await openPort(path, this.#options.baudRate, portSession);
    if (!opened.ok) return opened;
    this.#tell(this.#up, path, message('link-open', { path, wanted: this.#wanted() }));
    // Whoever closed meanwhile does not know of this session yet.
    if (this.#closed) await opened.link.close(message('port-closed'));
    else portSession.begin(opened.link);
    return { ok: true, portSession };
  }

  #arrive(path: string, board: string | null): void {
    this.#home = path;
    void this.#finder.remember(path);
    this.#tell(
      true,
      path,
      board === null ? message('link-lines', { path }) : message('link-board', { path, board }),
    );
  }

  #tell(up: boolean | null, port: string | null, said: Message): void {
    if (up === this.#up && said.text === this.#text) return;
    this.#up = up;
    this.#text = said.text;
    this.#listener?.link({ up, port, ...said });
  }

  async #sleep(): Promise<void> {
    await sleep(this.#times.retryMs, undefined, { signal: this.#closing.signal }).catch(() => {});
  }
}
