import { type ADCMuxInput, ADCMuxInputType } from 'avr8js';
import { type Chip, CLOCK_HZ } from './chip.ts';

/** Voltages at the analog pins. `tS` is time since power-on; calls come with rising `tS`. */
export type PinVolts = (pin: number, tS: number) => number;

const STEPS = 1024;
const BOTTOM = 0;

/**
 * Lets `pinVolts` answer for the analog pins. A conversion holds its input 1.5 cycles of the converter's clock
 * after its start (ATmega328P data sheet, "Prescaling and Conversion Timing"), and steps down, not to nearest.
 */
export function attachConverter(chip: Chip, pinVolts: PinVolts): void {
  const { cpu, adc } = chip;
  adc.onADCRead = (input: ADCMuxInput) => {
    const holdCycles = 1.5 * adc.prescaler;
    const tS = (cpu.cycles + holdCycles) / CLOCK_HZ;
    const volts = input.type === ADCMuxInputType.SingleEnded ? pinVolts(input.channel, tS) : BOTTOM;
    const count = Math.floor((volts / adc.referenceVoltage) * STEPS);
    const result = Math.min(STEPS - 1, Math.max(0, count));
    cpu.addClockEvent(() => adc.completeADCRead(result), adc.sampleCycles);
  };
}
