import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import type { ByteChannel, Opened } from '../flash/byte-channel.ts';
import { portFault } from './port-faults.ts';
import { closePort, unfitPath } from './port-link.ts';

/** The capacitor between DTR and the chip's reset is charged anew within this, and the boot loader begins. */
const RELEASED_MS = 60;
const BEGINS_MS = 60;

/** What a port needs to have; serialport's mock binding has it, too. */
type Port = Pick<SerialPort, 'isOpen' | 'write' | 'set' | 'close'> & {
  on(event: string, listener: (bytes: Uint8Array) => void): unknown;
};

/** A serial port as bytes. A port that has no control lines, such as a pseudo-terminal, is written and read all the same. */
export class SerialChannel implements ByteChannel {
  readonly #port: Port;
  #held = new Uint8Array();
  #isGone = false;
  #news: () => void = () => {};

  constructor(port: Port) {
    this.#port = port;
    port.on('data', (bytes: Uint8Array) => {
      this.#held = Buffer.concat([this.#held, bytes]);
      this.#news();
    });
    const gone = () => {
      this.#isGone = true;
      this.#news();
    };
    for (const event of ['close', 'end', 'error'] as const) port.on(event, gone);
  }

  get isGone(): boolean {
    return this.#isGone;
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (this.#isGone || !this.#port.isOpen) throw new Error('the port is gone');
    await new Promise<void>((resolve, reject) => {
      this.#port.write(Buffer.from(bytes), undefined, (error) => (error ? reject(error) : resolve()));
    });
  }

  async read(count: number, withinMs: number): Promise<Uint8Array | null> {
    const isSettled = () => this.#held.length >= count || this.#isGone;
    if (!isSettled())
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, withinMs);
        this.#news = () => {
          if (!isSettled()) return;
          clearTimeout(timer);
          resolve();
        };
      });
    if (this.#held.length < count) return null;
    const read = this.#held.subarray(0, count);
    this.#held = this.#held.subarray(count);
    return read;
  }

  pause(ms: number): Promise<void> {
    return sleep(ms);
  }

  discard(): void {
    this.#held = new Uint8Array();
  }

  async reset(): Promise<boolean> {
    try {
      await this.#set(false);
      await sleep(RELEASED_MS);
      await this.#set(true);
      await sleep(BEGINS_MS);
      return true;
    } catch {
      return false;
    }
  }

  async close(): Promise<void> {
    await closePort(this.#port);
  }

  #set(asserted: boolean): Promise<void> {
    return new Promise((resolve, reject) => {
      this.#port.set({ dtr: asserted, rts: asserted }, (error) => (error ? reject(error) : resolve()));
    });
  }
}

/** Opens a port for bytes. */
export function openChannel(path: string, baudRate: number): Promise<Opened> {
  const unfit = unfitPath(path);
  if (unfit !== null) return Promise.resolve({ ok: false, text: unfit.text });
  return new Promise((resolve) => {
    const port = new SerialPort({ path, baudRate, autoOpen: false });
    port.open((error) => {
      if (error) resolve({ ok: false, text: portFault(path, error.message).text });
      else resolve({ ok: true, channel: new SerialChannel(port) });
    });
  });
}
