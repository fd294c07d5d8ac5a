import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { drawCircuit } from '../../docs/hardware/circuit.ts';
import { NUMBERS, significant } from '../../docs/hardware/numbers.ts';
import { renderGuide } from '../../docs/hardware/render.ts';

const docs = new URL('../../docs/', import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, docs), 'utf8');
const template = read('hardware/guide.template.md');

test('docs/hardware.md is what its template and its numbers give', () => {
  expect(read('hardware.md')).toBe(renderGuide(template));
});

test('docs/hardware/circuit.svg is what circuit.ts draws', () => {
  expect(read('hardware/circuit.svg')).toBe(drawCircuit());
});

test('every number is used, and every number is one', () => {
  const used = new Set([...template.matchAll(/\{\{(\w+)\}\}/g)].map(([, name]) => name));
  expect(Object.keys(NUMBERS).filter((name) => !used.has(name))).toEqual([]);
  for (const value of Object.values(NUMBERS)) expect(value).toMatch(/^\d+(\.\d+)?$/);
});

test('parts of the circuit diagram are in the table of parts', () => {
  const drawn = new Set(
    [...read('hardware/circuit.svg').matchAll(/>((?:R|C|A|D|P)\d+)(?: [^<]*)?</g)].map(([, name]) => name),
  );
  const table = read('hardware.md')
    .split('\n')
    .filter((line) => line.startsWith('| '))
    .join('\n');
  const named = new Set<string>();
  for (const [, letter, from, to] of table.matchAll(/\b([RCADP])(\d+)(?: to [RCADP](\d+))?/g)) {
    for (let n = Number(from); n <= Number(to ?? from); n += 1) named.add(`${letter}${n}`);
  }
  expect(drawn.size).toBeGreaterThan(25);
  expect([...drawn].filter((name) => !named.has(name))).toEqual([]);
});

/**
 * Outside checks of the arithmetic. Thermal noise: 1 kilohm at room temperature has 4 nV per root hertz (common
 * rule in handbooks of electronics, from memory). Rounding: q / sqrt(12), JCGM 100:2008, 4.3.7 and F.2.2.1.
 */
test('published rules of thumb', async () => {
  const { thermalNoise, QUANTISING_COUNTS } = await import('../../bridge/emulate/hardware.ts');
  expect(1e9 * thermalNoise(1000)).toBeCloseTo(4, 1);
  expect(QUANTISING_COUNTS).toBeCloseTo(0.29, 2);
});

test('significant digits', () => {
  expect([0.04999, 243.93, 7.5, 0.00123].map((value) => significant(value, 3))).toEqual([
    '0.0500',
    '244',
    '7.50',
    '0.00123',
  ]);
});
