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
export interface EmulatedBoard {
  /** Time on the bench in seconds; it goes on while the board is without power. */
  readonly benchS: number;
  /** The chip in use, for tests that look inside. A reset replaces it. */
  readonly chip: Chip;
  /** Runs the board, or waits without power, for so many seconds of the bench's time. */
  run(seconds: number): void;
  send(bytes: Uint8Array): void;
  setPower(on: boolean): void;
}

export function createEmulatedBoard(options: EmulatedBoardOptions): EmulatedBoard {
  let bootS = 0;
  let waitS = 0;
  let seenS = 0;
  let powered = true;
  let watchdogBit = false;
  let bench = options.bench.advance(0);
  let { chip, line } = boot(0);

  function look(sinceBootS: number): PinVoltages {
    // A conversion looks a little ahead, to where it holds its input; time on the bench never goes back.
    seenS = Math.max(seenS, bootS + sinceBootS);
    bench = options.bench.advance(seenS);
    return options.frontEnd.follow(seenS, bench);
  }

  /** Power may go in the middle of a slice of the chip's time; what it still does then does not happen. */
  function sendByte(byte: number): void {
    if (powered) options.onByte(byte);
  }

  function boot(resetCause: number): { chip: Chip; line: SerialLine } {
    const made = powerOn(options.program, options.eeprom);
    made.cpu.data[MCUSR] = resetCause;
    // The emulator's own watchdog reset would leave the peripherals half way through what they did.
    made.cpu.reset = () => {
      watchdogBit = true;
    };
    setSwitches(made, bench);
    attachAnalog(made, look);
    return { chip: made, line: attachSerialLine(made, sendByte) };
  }

  const sinceBootS = (): number => (powered ? chip.cpu.cycles / CLOCK_HZ : waitS);

  function restart(resetCause: number): void {
    bootS += sinceBootS();
    waitS = 0;
    powered = true;
    ({ chip, line } = boot(resetCause));
  }

  function runOn(untilS: number): void {
    // Counted in cycles: seconds that differ in their last binary digit would be waited for without end.
    const lastCycle = () => Math.ceil((untilS - bootS) * CLOCK_HZ);
    while (powered && chip.cpu.cycles < lastCycle()) {
      look(sinceBootS());
      setSwitches(chip, bench);
      runUntil(chip.cpu, Math.min(chip.cpu.cycles + LOOK_CYCLES, lastCycle()));
      if (watchdogBit) {
        watchdogBit = false;
        restart(WATCHDOG_RESET);
      }
    }
  }

  let targetS = 0;
  return {
    get benchS() {
      return bootS + sinceBootS();
    },
    get chip() {
      return chip;
    },
    run(seconds) {
      targetS += seconds;
      runOn(targetS);
      // Also when the power went while it ran.
      if (!powered) waitS = Math.max(waitS, targetS - bootS);
    },
    send: (bytes) => {
      if (powered) line.send(bytes);
    },
    setPower(on) {
      if (on && !powered) restart(0);
      if (on || !powered) return;
      bootS += sinceBootS();
      waitS = 0;
      powered = false;
    },
  };
}
