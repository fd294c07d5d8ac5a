import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readIntelHex } from '../../bridge/flash/intel-hex.ts';

export const FIRMWARE_FOLDER = fileURLToPath(new URL('../../firmware-protocol/atmega328p/', import.meta.url));

/** Flash words of a .hex file of the repository. */
export function recordedProgram(name: 'tenwire' | 'conformance'): Uint16Array {
  const reading = readIntelHex(readFileSync(join(FIRMWARE_FOLDER, `${name}.hex`), 'latin1'));
  if (!reading.ok) throw new Error(reading.fault);
  return reading.program;
}

/** Builds everything anew into a fresh folder with the Makefile, and answers with the folder. */
export function buildFirmware(): string {
  const out = mkdtempSync(join(tmpdir(), 'tenwire-firmware-'));
  execFileSync('make', ['-s', '-C', FIRMWARE_FOLDER, `OUT=${out}`, 'all'], { stdio: 'pipe' });
  return out;
}

/** Address in the chip's memory of a variable, from the table of symbols of an .elf file. */
export function symbolAddress(elf: string, name: string): number {
  const table = execFileSync('avr-nm', [elf], { encoding: 'utf8' });
  const entry = table.split('\n').find((line) => line.endsWith(` ${name}`));
  if (entry === undefined) throw new Error(`no symbol ${name}`);
  return Number.parseInt(entry.slice(0, 8), 16) & 0xffff;
}
