import {
  AVRADC,
  AVRClock,
  AVREEPROM,
  AVRIOPort,
  AVRTimer,
  AVRUSART,
  AVRWatchdog,
  adcConfig,
  avrInstruction,
  CPU,
  clockConfig,
  EEPROMMemoryBackend,
  eepromConfig,
  portBConfig,
  portCConfig,
  portDConfig,
  timer1Config,
  usart0Config,
  watchdogConfig,
} from 'avr8js';

/** The chip of the reference board: an ATmega328P at 16 MHz. */
export const CLOCK_HZ = 16_000_000;

const SRAM_BYTES = 2048;
const EEPROM_BYTES = 1024;

/** An ATmega328P with the peripherals that the firmware uses; each that is left out makes it run faster. */
export interface Chip {
  cpu: CPU;
  adc: AVRADC;
  usart: AVRUSART;
  ports: { b: AVRIOPort; c: AVRIOPort; d: AVRIOPort };
}

/** What stays in the chip without power. */
export type Eeprom = EEPROMMemoryBackend;

/** A memory as it leaves the factory: every byte 0xFF. */
export const newEeprom = (): Eeprom => new EEPROMMemoryBackend(EEPROM_BYTES);

/** A chip at the moment when power comes. */
export function powerOn(program: Uint16Array, eeprom: Eeprom): Chip {
  const cpu = new CPU(program.slice(), SRAM_BYTES);
  const ports = {
    b: new AVRIOPort(cpu, portBConfig),
    c: new AVRIOPort(cpu, portCConfig),
    d: new AVRIOPort(cpu, portDConfig),
  };
  new AVRTimer(cpu, timer1Config);
  new AVREEPROM(cpu, eeprom, eepromConfig);
  new AVRWatchdog(cpu, watchdogConfig, new AVRClock(cpu, CLOCK_HZ, clockConfig));
  return { cpu, adc: new AVRADC(cpu, adcConfig), usart: new AVRUSART(cpu, usart0Config, CLOCK_HZ), ports };
}

const SLEEP = 0x9588;

/** Cycle of the next event that a peripheral waits for. The emulator keeps the queue to itself in its types only. */
const nextEventAt = (cpu: CPU): number | undefined =>
  (cpu as unknown as { nextClockEvent: { cycles: number } | null }).nextClockEvent?.cycles;

/**
 * Runs instructions until the clock has reached `cycle`. A sleeping chip waits for its next event, which the
 * emulator's own SLEEP does not do: there it is one idle cycle.
 */
export function runUntil(cpu: CPU, cycle: number): void {
  // A local name: where modules are transformed (vitest), each use of an import is a look-up, and this is the hot loop.
  const step = avrInstruction;
  const { progMem } = cpu;
  while (cpu.cycles < cycle) {
    const asleep = progMem[cpu.pc] === SLEEP ? cpu.pc + 1 : -1;
    step(cpu);
    cpu.tick();
    if (cpu.pc !== asleep) continue;
    cpu.cycles = Math.max(cpu.cycles, Math.min(cycle, nextEventAt(cpu) ?? cycle));
    cpu.tick();
  }
}
