import { execFileSync } from 'node:child_process';
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { buildFirmware, FIRMWARE_FOLDER } from './firmware.ts';

let out: string;
beforeAll(() => {
  out = buildFirmware();
});
afterAll(() => rmSync(out, { recursive: true }));

const version = execFileSync('avr-gcc', ['-dumpversion'], { encoding: 'utf8' }).trim();
const recorded = readFileSync(join(FIRMWARE_FOLDER, 'compiler-version.txt'), 'utf8').trim();

// Another compiler makes other bytes; that it compiles without a warning is what beforeAll shows.
const sameCompiler = test.runIf(version === recorded);

sameCompiler.each(['tenwire.hex', 'conformance.hex'])('a fresh build of %s is the one recorded', (name) => {
  const fresh = readFileSync(join(out, name), 'latin1');
  expect(fresh).toBe(readFileSync(join(FIRMWARE_FOLDER, name), 'latin1'));
});

test('the firmware takes less than 8 KB of flash and leaves half of the memory to the stack and to growth', () => {
  const [, numbers] = execFileSync('avr-size', [join(out, 'tenwire.elf')], { encoding: 'utf8' }).split('\n');
  const [text, data, bss] = numbers.trim().split(/\s+/).map(Number);
  expect(text + data).toBeLessThan(8192);
  expect(data + bss).toBeLessThan(1400);
});
