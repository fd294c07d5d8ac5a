import type { Physical } from '../simulate/live-bench.ts';
import type { Chip } from './chip.ts';
import { attachConverter } from './converter.ts';
import type { PinVoltages } from './front-end.ts';
import { DITHER_SPAN_V } from './hardware.ts';

/** What the board is wired to, as a function of time. `LiveBench` of bridge/simulate is one. */
export interface BenchSource {
  /** Moves on to a time in seconds (never back). The answer may be one object, changed in place. */
  advance(tS: number): BenchState;
}

export type BenchState = Pick<
  Physical,
  'galvanometerUa' | 'driverMa' | 'scaleCm' | 'row' | 'contact' | 'jumps'
> & {
  /** `cell` 3: both contacts of the two-way key are closed, which no sound key does. */
  switches: Pick<Physical['switches'], 'protect' | 'load'> & { cell: 0 | 1 | 2 | 3 };
  /** The mark button is held down. */
  mark?: boolean;
};

/** Pins of firmware-protocol/atmega328p/board.h. */
const ANALOG: readonly (keyof PinVoltages | undefined)[] = ['gal', 'pos', 'drv'];
const PORT_D = { contact: 2, mark: 3, cell1: 4, cell2: 5, protectShorted: 6, load: 7 } as const;
const ROW_LINES = [0, 1, 2, 3, 4];
const DITHER_SHIFT = 3;
const DITHER_LEVELS = 8;

/** Sets the bench's switches and row lines as they are now; a closed one pulls its pin down. */
export function setSwitches(chip: Chip, state: BenchState): void {
  const close = (pin: number, closed: boolean): void => chip.ports.d.setPin(pin, !closed);
  close(PORT_D.contact, state.contact);
  close(PORT_D.mark, state.mark === true);
  close(PORT_D.cell1, (state.switches.cell & 1) !== 0);
  close(PORT_D.cell2, (state.switches.cell & 2) !== 0);
  close(PORT_D.protectShorted, !state.switches.protect);
  close(PORT_D.load, state.switches.load);
  for (const line of ROW_LINES) chip.ports.b.setPin(line, (state.row & (1 << line)) === 0);
}

/** Volts that the ladder on three port pins adds at every analog input. */
const ditherV = (portC: number): number =>
  (((portC >> DITHER_SHIFT) % DITHER_LEVELS) / DITHER_LEVELS) * DITHER_SPAN_V;

/** Connects the analog pins: `look` answers with what front end and sensors put out at a time since power-on. */
export function attachAnalog(chip: Chip, look: (sinceBootS: number) => PinVoltages): void {
  let portC = 0;
  chip.ports.c.addListener((value) => {
    portC = value;
  });
  attachConverter(chip, (pin, sinceBootS) => {
    const volts = look(sinceBootS);
    const channel = ANALOG[pin];
    return channel === undefined ? 0 : volts[channel] + ditherV(portC);
  });
}
