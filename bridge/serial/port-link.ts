import { realpathSync } from 'node:fs';
import { basename } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import { MAX_LINE_BYTES } from '../../firmware-protocol/frames.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { SourceFault } from './line-source.ts';
import { LineSplitter } from './line-splitter.ts';
import { portFault } from './port-faults.ts';

export interface PortListener {
  /** Lines as they came, terminator removed, latin1. Never an empty list. Called within the read that brought them. */
  lines(lines: string[]): void;
  /** Any byte came, a whole line or not. */
  heard(): void;
  /** The port is closed, whoever did it. Called once, last. */
  gone(why: Message): void;
}

type Opening = { ok: true; link: PortLink } | { ok: false; fault: SourceFault };

/**
 * Most that one read takes: what was read and not yet recorded is lost if this process is killed. A read takes less unless
 * lines have piled up; smaller ones would then keep up worse, and the operating system's own buffer is small.
 */
const READ_BYTES = 2048;
const CLOSE_MS = 2000;
/** A port is read up once so many turns in a row brought nothing. A board that goes on sending is cut off after the most. */
const TURN_MS = 10;
const QUIET_TURNS = 2;
const MOST_TURNS = 50;

/** One opening of one serial port, from `openPort` to `gone`. A port that comes back is another one. */
export class PortLink {
  readonly path: string;
  readonly #port: SerialPort;
  readonly #listener: PortListener;
  // A new one for each opening: an old one still holds half a line.
  readonly #splitter = new LineSplitter(MAX_LINE_BYTES);
  #readBytes = 0;
  #writing = false;
  #gone = false;
  #closing: Promise<void> | null = null;

  constructor(port: SerialPort, listener: PortListener) {
    this.path = port.path;
    this.#port = port;
    this.#listener = listener;
    port.on('data', (bytes: Buffer) => this.#deliver(bytes));
    // Losing the link may bring close, error and close, close alone, or end: whichever is first counts.
    port.on('error', (error) => this.#lose(message('as-it-came', { words: error.message })));
    port.on('close', () => this.#lose(message('port-gone')));
    port.on('end', () => this.#lose(message('port-gone')));
  }

  /** Hands a line to the port. False while an earlier one is still under way, or once it is gone. */
  write(line: string): boolean {
    if (this.#gone || this.#writing || !this.#port.isOpen) return false;
    this.#writing = true;
    this.#port.write(`${line}\n`, 'latin1', () => {
      this.#writing = false;
    });
    return true;
  }

  /** Reads what the port still holds, closes it, and resolves once all of it has been told, and `gone`. */
  close(why: Message): Promise<void> {
    this.#closing ??= this.#readUpAndClose(why);
    return this.#closing;
  }

  async #readUpAndClose(why: Message): Promise<void> {
    // Counted in turns of the event loop, not by the clock: time in which this process was stopped read nothing.
    for (let turn = 0, quiet = 0; turn < MOST_TURNS && quiet < QUIET_TURNS && !this.#gone; turn += 1) {
      const before = this.#readBytes;
      await sleep(TURN_MS);
      quiet = this.#readBytes === before ? quiet + 1 : 0;
    }
    await closePort(this.#port);
    this.#lose(why);
  }

  /** Nothing waits between the read and the listener. */
  #deliver(bytes: Buffer): void {
    if (this.#gone) return;
    this.#readBytes += bytes.length;
    this.#listener.heard();
    this.#tell(this.#splitter.split(bytes));
  }

  #tell(lines: string[]): void {
    if (lines.length > 0) this.#listener.lines(lines);
  }

  #lose(why: Message): void {
    if (this.#gone) return;
    this.#gone = true;
    this.#tell(this.#splitter.takeRest());
    this.#listener.gone(why);
    void closePort(this.#port);
  }
}

/** Opens a port. `listener` hears of it from then on until `gone`. */
export function openPort(path: string, baudRate: number, listener: PortListener): Promise<Opening> {
  const unfit = unfitPath(path);
  if (unfit !== null) return Promise.resolve({ ok: false, fault: unfit });
  return new Promise((resolve) => {
    const port = new SerialPort({ path, baudRate, autoOpen: false, highWaterMark: READ_BYTES });
    port.open((error) => {
      if (error) resolve({ ok: false, fault: portFault(path, error.message) });
      else resolve({ ok: true, link: new PortLink(port, listener) });
    });
  });
}

/** Null for a path that may be a port's. */
export function unfitPath(path: string): SourceFault | null {
  if (path.trim() === '') return { code: 'port-not-found', ...message('port-unnamed') };
  return makesTerminals(path) ? { code: 'not-a-port', ...message('not-a-port', { path }) } : null;
}

/** `/dev/ptmx` opens as a terminal does, and makes a new one at each opening: no board is ever behind it. */
function makesTerminals(path: string): boolean {
  try {
    return basename(realpathSync(path)) === 'ptmx';
  } catch {
    // Not there, or no file at all, such as COM3: opening it tells.
    return false;
  }
}

/** Resolves when the port is closed, or when the system does not manage to close it. */
export function closePort(port: Pick<SerialPort, 'isOpen' | 'close'>): Promise<void> {
  if (!port.isOpen) return Promise.resolve();
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, CLOSE_MS);
    port.close(() => {
      clearTimeout(timer);
      resolve();
    });
  });
}
