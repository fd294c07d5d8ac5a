import { once } from 'node:events';
import { ReadlineParser } from '@serialport/parser-readline';
import { SerialPort } from 'serialport';
import { MAX_LINE_BYTES } from '../../firmware-protocol/frames.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { SourceFault } from '../session/line-source.ts';
import { BoundedBytes } from './bounded-bytes.ts';
import { portFault } from './port-faults.ts';

export interface PortListener {
  /** Lines as they came, terminator removed, latin1. Never an empty list. */
  lines(lines: string[]): void;
  /** Any byte came, a whole line or not. */
  heard(): void;
  /** The port is closed, whoever did it. Called once, last. */
  gone(why: Message): void;
}

type Opening = { ok: true; link: PortLink } | { ok: false; fault: SourceFault };

const CLOSE_MS = 2000;

/** One opening of one serial port, from `openPort` to `gone`. A port that comes back is another one. */
export class PortLink {
  readonly path: string;
  readonly #port: SerialPort;
  readonly #listener: PortListener;
  // A new parser for each opening: an old one still holds half a line.
  readonly #parser = new ReadlineParser({ delimiter: '\n', encoding: 'latin1', readableObjectMode: true });
  readonly #bounded = new BoundedBytes(MAX_LINE_BYTES);
  #lines: string[] = [];
  #writing = false;
  #gone = false;
  #over: Promise<void> | null = null;

  constructor(port: SerialPort, listener: PortListener) {
    this.path = port.path;
    this.#port = port;
    this.#listener = listener;
    this.#bounded.pipe(this.#parser);
    this.#parser.on('data', (line: string) => this.#collect(line));
    port.on('data', (bytes: Buffer) => this.#read(bytes));
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

  /** Resolves once all that came has been told, and `gone`. */
  async close(why: Message): Promise<void> {
    await closePort(this.#port);
    this.#lose(why);
    await this.#over;
  }

  #read(bytes: Buffer): void {
    if (this.#gone) return;
    this.#listener.heard();
    this.#bounded.write(bytes);
  }

  #collect(line: string): void {
    // At its end the parser gives what stands after the last line feed, which is mostly nothing.
    if (this.#gone && line === '') return;
    this.#lines.push(line.endsWith('\r') ? line.slice(0, -1) : line);
    if (this.#lines.length === 1) setImmediate(() => this.#deliver());
  }

  #deliver(): void {
    const lines = this.#lines;
    this.#lines = [];
    if (lines.length > 0) this.#listener.lines(lines);
  }

  #lose(why: Message): void {
    if (this.#gone) return;
    this.#gone = true;
    this.#over = once(this.#parser, 'end').then(() => {
      this.#deliver();
      this.#listener.gone(why);
    });
    this.#bounded.end();
    void closePort(this.#port);
  }
}

/** Opens a port. `listener` hears of it from then on until `gone`. */
export function openPort(path: string, baudRate: number, listener: PortListener): Promise<Opening> {
  return new Promise((resolve) => {
    const port = new SerialPort({ path, baudRate, autoOpen: false });
    port.open((error) => {
      if (error) resolve({ ok: false, fault: portFault(path, error.message) });
      else resolve({ ok: true, link: new PortLink(port, listener) });
    });
  });
}

/** Resolves when the port is closed, or when the system does not manage to close it. */
function closePort(port: SerialPort): Promise<void> {
  if (!port.isOpen) return Promise.resolve();
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, CLOSE_MS);
    port.close(() => {
      clearTimeout(timer);
      resolve();
    });
  });
}
