import { type Chip, CLOCK_HZ, type Eeprom, powerOn, runUntil } from './chip.ts';
import type { FrontEndModel, PinVoltages } from './front-end.ts';
import { attachSerialLine, type SerialLine } from './serial-line.ts';
import { attachAnalog, type BenchSource, setSwitches } from './wiring.ts';

/** How often the bench's switches are looked at, in cycles: a tenth of a millisecond. */
const LOOK_CYCLES = CLOCK_HZ / 10_000;

/** Bit of MCUSR that says that the watchdog was the cause of a reset, and its address. */
const MCUSR = 0x54;
const WATCHDOG_RESET = 0x08;

export interface EmulatedBoardOptions {
  /** Flash words, as `readIntelHex` gives them. */
  program: Uint16Array;
  eeprom: Eeprom;
  bench: BenchSource;
  frontEnd: FrontEndModel;
  /** Each byte that the board sends. */
  onByte(byte: number): void;
}

/** A board running its firmware, instruction by instruction, on a bench. */
export class EmulatedBoard {
  readonly #options: EmulatedBoardOptions;
  /** On the bench's time, when the chip in use began. */
  #bootS = 0;
  /** Without power, since it went. */
  #waitS = 0;
  #seenS = 0;
  #targetS = 0;
  #powered = true;
  #watchdogBit = false;
  #bench: ReturnType<BenchSource['advance']>;
  #chip: Chip;
  #line: SerialLine;

  constructor(options: EmulatedBoardOptions) {
    this.#options = options;
    this.#bench = options.bench.advance(0);
    [this.#chip, this.#line] = this.#boot(0);
  }

  /** Time on the bench in seconds; it goes on while the board is without power. */
  get benchS(): number {
    return this.#bootS + this.#sinceBootS;
  }

  /** The chip in use, for tests that look inside. A reset replaces it. */
  get chip(): Chip {
    return this.#chip;
  }

  get #sinceBootS(): number {
    return this.#powered ? this.#chip.cpu.cycles / CLOCK_HZ : this.#waitS;
  }

  /** Runs the board, or waits without power, for so many seconds of the bench's time. */
  run(seconds: number): void {
    this.#targetS += seconds;
    this.#runUntil(this.#targetS);
    // Also when the power went while it ran.
    if (!this.#powered) this.#waitS = Math.max(this.#waitS, this.#targetS - this.#bootS);
  }

  send(bytes: Uint8Array): void {
    if (this.#powered) this.#line.send(bytes);
  }

  setPower(on: boolean): void {
    if (on && !this.#powered) this.#restart(0);
    if (on || !this.#powered) return;
    this.#bootS += this.#sinceBootS;
    this.#waitS = 0;
    this.#powered = false;
  }

  #runUntil(untilS: number): void {
    // Counted in cycles: seconds that differ in their last binary digit would be waited for without end.
    const lastCycle = () => Math.ceil((untilS - this.#bootS) * CLOCK_HZ);
    while (this.#powered && this.#chip.cpu.cycles < lastCycle()) {
      this.#look(this.#sinceBootS);
      setSwitches(this.#chip, this.#bench);
      runUntil(this.#chip.cpu, Math.min(this.#chip.cpu.cycles + LOOK_CYCLES, lastCycle()));
      if (this.#watchdogBit) this.#restart(WATCHDOG_RESET);
    }
  }

  #restart(resetCause: number): void {
    this.#bootS += this.#sinceBootS;
    this.#waitS = 0;
    this.#powered = true;
    this.#watchdogBit = false;
    [this.#chip, this.#line] = this.#boot(resetCause);
  }

  #boot(resetCause: number): [Chip, SerialLine] {
    const chip = powerOn(this.#options.program, this.#options.eeprom);
    chip.cpu.data[MCUSR] = resetCause;
    // The emulator's own watchdog reset would leave the peripherals half way through what they did.
    chip.cpu.reset = () => {
      this.#watchdogBit = true;
    };
    setSwitches(chip, this.#bench);
    attachAnalog(chip, (sinceBootS) => this.#look(sinceBootS));
    // Power may go in the middle of a slice of the chip's time; what it still does then does not happen.
    return [chip, attachSerialLine(chip, (byte) => this.#powered && this.#options.onByte(byte))];
  }

  #look(sinceBootS: number): PinVoltages {
    // A conversion looks a little ahead, to where it holds its input; time on the bench never goes back.
    this.#seenS = Math.max(this.#seenS, this.#bootS + sinceBootS);
    this.#bench = this.#options.bench.advance(this.#seenS);
    return this.#options.frontEnd.follow(this.#seenS, this.#bench);
  }
}
