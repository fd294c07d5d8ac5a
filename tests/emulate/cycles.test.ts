import { execFileSync } from 'node:child_process';
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { avrInstruction, type CPU } from 'avr8js';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newEeprom, powerOn } from '../../bridge/emulate/chip.ts';
import { readIntelHex } from '../../bridge/flash/intel-hex.ts';
import { buildFirmware, FIRMWARE_FOLDER, symbolAddress } from '../firmware-protocol/firmware.ts';
import { createStand, lostAmong, restartAt, stepsUs } from './stand.ts';

let out: string;
let program: Uint16Array;
beforeAll(() => {
  out = buildFirmware();
  const reading = readIntelHex(readFileSync(join(out, 'tenwire.hex'), 'latin1'));
  if (!reading.ok) throw new Error(reading.fault);
  program = reading.program;
});
afterAll(() => rmSync(out, { recursive: true }));

const addressOf = (name: string): number => symbolAddress(join(out, 'tenwire.elf'), name);

const RETI = 0x9518;
const VECTORS_END = 0x68 / 2;
const TIMER_VECTOR = 0x16;
const GPIOR0 = 0x3e;
/** The chip takes 4 cycles to enter a handler (data sheet, "Interrupt Response Time"), the emulator 2. */
const ENTRY_CYCLES_MORE = 2;

interface Load {
  /** Cycles of one sample's line, from queue to transmit buffer, interrupts not counted. */
  line: number;
  /** Cycles of all handlers from one sample to the next. */
  handlers: number;
}

/** Runs the chip and answers with what each sample cost. */
function measure(cpu: CPU, untilCycle: number): Load[] {
  const step = avrInstruction;
  const loads: Load[] = [];
  let handlerSince: number | null = null;
  let now: Load = { line: 0, handlers: 0 };
  while (cpu.cycles < untilCycle) {
    const ends = cpu.progMem[cpu.pc] === RETI;
    const working = cpu.data[GPIOR0] === 1 && handlerSince === null;
    const before = cpu.cycles;
    step(cpu);
    if (working) now.line += cpu.cycles - before;
    if (ends && handlerSince !== null) {
      now.handlers += cpu.cycles - handlerSince + ENTRY_CYCLES_MORE;
      handlerSince = null;
    }
    const entering = cpu.cycles;
    cpu.tick();
    if (handlerSince === null && cpu.pc < VECTORS_END && cpu.pc % 2 === 0) {
      handlerSince = entering;
      if (cpu.pc === TIMER_VECTOR) {
        loads.push(now);
        now = { line: 0, handlers: 0 };
      }
    }
  }
  return loads.slice(2);
}

/** The board with the numbers that take longest: many digits, high ones, sampling at `rateHz`. */
function loadsAt(baudChoice: number, rateHz: number): Load[] {
  const eeprom = newEeprom();
  eeprom.memory.set([0xa5, ...Buffer.from('sixteen-letters-'), 0, baudChoice, 0x1f, 0x07]);
  const chip = powerOn(program, eeprom);
  const { cpu, adc, usart, ports } = chip;
  adc.channelValues.fill(4.882);
  // Pins begin low, as if every switch were closed: all but the mark button, and row 15.
  ports.d.setPin(3, true);
  ports.b.setPin(4, true);
  measure(cpu, cpu.cycles + 500_000);
  if (rateHz !== 200) {
    for (const byte of Buffer.from(`R,${rateHz}\n`)) {
      while (!usart.writeByte(byte)) measure(cpu, cpu.cycles + 400);
    }
    measure(cpu, cpu.cycles + 1_600_000);
  }
  cpu.dataView.setUint32(addressOf('next_us'), 3_999_000_000, true);
  cpu.dataView.setUint16(addressOf('next_seq'), 59_000, true);
  return measure(cpu, cpu.cycles + 12_000_000);
}

const worst = (loads: Load[]) => ({
  line: Math.max(...loads.map((load) => load.line)),
  handlers: Math.max(...loads.map((load) => load.handlers)),
});

const version = execFileSync('avr-gcc', ['-dumpversion'], { encoding: 'utf8' }).trim();
const recorded = readFileSync(join(FIRMWARE_FOLDER, 'compiler-version.txt'), 'utf8').trim();
// The formatter pads tables.
const readme = readFileSync(join(FIRMWARE_FOLDER, 'README.md'), 'utf8').replace(/ +/g, ' ');

describe('worst-case cycles a sample are what the README says, and leave the chip time to spare', () => {
  test.each([
    [115_200, 1, 200],
    [500_000, 3, 1000],
  ])('%i baud (choice %i), %i Hz', (baud, choice, rateHz) => {
    const { line, handlers } = worst(loadsAt(choice, rateHz));
    const period = 16_000_000 / rateHz;
    const share = Math.round((100 * (line + handlers)) / period);
    expect(line + handlers).toBeLessThan(0.9 * period);
    if (version !== recorded) return;
    const row = `| ${rateHz} Hz at ${baud} baud | ${line} | ${handlers} | ${period} | ${share} % |`;
    expect(readme).toContain(row);
  });

  test.runIf(version === recorded)('so is the size', () => {
    const [, numbers] = execFileSync('avr-size', [join(out, 'tenwire.elf')], { encoding: 'utf8' }).split(
      '\n',
    );
    const [text, data, bss] = numbers.trim().split(/\s+/).map(Number);
    expect(readme).toContain(`${text + data} bytes of flash`);
    expect(readme).toContain(`${data + bss} bytes of memory`);
  });
});

test('seq and tUs wrap without a stumble', () => {
  const stand = createStand({ program });
  restartAt(stand, 115_200);
  stand.board.run(0.2);
  const { dataView } = stand.board.chip.cpu;
  stand.clear();
  dataView.setUint32(addressOf('next_us'), 0x1_0000_0000 - 300_000, true);
  dataView.setUint16(addressOf('next_seq'), 65_480, true);
  stand.board.run(1);
  const samples = stand.samples().filter((sample) => sample.seq > 65_000 || sample.seq < 200);
  expect(Math.min(...samples.map((sample) => sample.tUs))).toBeLessThan(5000);
  expect(samples.some((sample) => sample.seq === 65_535)).toBe(true);
  expect(samples.at(-1)!.seq).toBeLessThan(200);
  const after = samples.slice(1);
  expect(lostAmong(after)).toBe(0);
  expect(stepsUs(after).every((step) => step === 5000)).toBe(true);
});
