import type { ByteChannel } from './byte-channel.ts';

/** STK500 communication protocol, version 1 (Atmel application note AVR061), as serial boot loaders speak it. */

const IN_SYNC = 0x14;
const OK = 0x10;
/** Ends every command. */
const END = 0x20;
const COMMAND = {
  sync: 0x30,
  enter: 0x50,
  leave: 0x51,
  address: 0x55,
  write: 0x64,
  read: 0x74,
  signature: 0x75,
};
/** In flash, not in EEPROM. */
const FLASH = 0x46;

/** A page is written within some milliseconds; the rest of the patience is for a busy computer. */
const ANSWER_MS = 2000;
/** A boot loader waits for about a second after a reset. */
const SYNC_MS = 250;
const QUIET_MS = 40;
const QUIET_TURNS = 10;

/** A boot loader at the other end. Each answer is null where it did not come whole and in order. */
export class BootLoader {
  readonly #channel: ByteChannel;

  constructor(channel: ByteChannel) {
    this.#channel = channel;
  }

  /** Whether it answers within so many tries. What the program on the board may have been saying is thrown away. */
  async answers(tries: number): Promise<boolean> {
    for (let left = tries; left > 0 && !this.#channel.isGone; left -= 1) {
      this.#channel.discard();
      if ((await this.#ask([COMMAND.sync], 0, SYNC_MS)) === null) {
        // A program that talks answers at once, and wrongly: the boot loader gets its time all the same.
        await this.#channel.pause(SYNC_MS);
        continue;
      }
      // Answers to earlier tries may still be on their way, and a program may happen to say these two bytes, but not when asked.
      for (let turn = 0; turn < QUIET_TURNS && (await this.#channel.read(1, QUIET_MS)) !== null; turn += 1)
        this.#channel.discard();
      if ((await this.#ask([COMMAND.sync], 0, SYNC_MS)) !== null) return true;
    }
    return false;
  }

  /** The three bytes by which a chip says which it is. */
  signature(): Promise<Uint8Array | null> {
    return this.#ask([COMMAND.signature], 3);
  }

  async enter(): Promise<boolean> {
    return (await this.#ask([COMMAND.enter], 0)) !== null;
  }

  /** Writes one page of flash. `address` in bytes. */
  async writePage(address: number, bytes: Uint8Array): Promise<boolean> {
    const command = [COMMAND.write, ...lengthOf(bytes.length), FLASH, ...bytes];
    return (await this.#goTo(address)) && (await this.#ask(command, 0)) !== null;
  }

  async readPage(address: number, length: number): Promise<Uint8Array | null> {
    if (!(await this.#goTo(address))) return null;
    return this.#ask([COMMAND.read, ...lengthOf(length), FLASH], length);
  }

  /** The program that was written begins. */
  async leave(): Promise<boolean> {
    return (await this.#ask([COMMAND.leave], 0)) !== null;
  }

  /** Flash is addressed by words of two bytes. */
  async #goTo(address: number): Promise<boolean> {
    const word = address >> 1;
    return (await this.#ask([COMMAND.address, word & 0xff, word >> 8], 0)) !== null;
  }

  /** What stands between the first and the last byte of an answer. */
  async #ask(command: readonly number[], length: number, withinMs = ANSWER_MS): Promise<Uint8Array | null> {
    try {
      await this.#channel.write(Uint8Array.from([...command, END]));
    } catch {
      return null;
    }
    const answer = await this.#channel.read(length + 2, withinMs);
    if (answer === null || answer[0] !== IN_SYNC || answer[length + 1] !== OK) return null;
    return answer.subarray(1, length + 1);
  }
}

const lengthOf = (length: number): [number, number] => [length >> 8, length & 0xff];
