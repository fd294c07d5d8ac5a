import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { plan } from '../../bridge/commands/plan.ts';
import type { Terminal } from '../../bridge/commands/terminal.ts';

const BENCH = fileURLToPath(new URL('../../fixtures/bench-example.json', import.meta.url));

function listening(): Terminal & { lines: string[]; noted: string[] } {
  const lines: string[] = [];
  const noted: string[] = [];
  return {
    lines,
    noted,
    out: (line) => lines.push(line),
    note: (line) => noted.push(line),
    progress: () => {},
    interactive: false,
  };
}

const options = {
  bench: BENCH,
  rheostat: [0, 20] as [number, number],
  driverResistance: 0.5,
  sets: 4,
  json: true,
};

it('puts the larger EMF on the last row in one set, every null on the wire', async () => {
  const terminal = listening();
  expect(await plan(options, terminal)).toBe(0);
  const { sets, expectedU } = JSON.parse(terminal.lines.join('\n'));
  expect(sets).toHaveLength(4);
  expect(Math.max(...sets.map((set: { null1: { row: number } }) => set.null1.row))).toBe(10);
  for (const { null1, null2, driverMa, rheostatOhm } of sets) {
    expect(null2.lengthCm).toBeLessThan(null1.lengthCm);
    // Ohm's law round the driver's loop, with the fixture's driver and wire.
    expect((driverMa / 1000) * (19.6 + 0.5 + rheostatOhm)).toBeCloseTo(3.06, 6);
  }
  expect(expectedU).toBeGreaterThan(0);
});

it('prints what a person needs at the bench', async () => {
  const terminal = listening();
  expect(await plan({ ...options, json: false }, terminal)).toBe(0);
  const text = terminal.lines.join(' ');
  expect(text).toMatch(/row 10, \d+\.\d cm/);
  expect(text).toMatch(/expected U of E1\/E2 \(95 %\): 0\.\d+/);
});

it('names what a bench file lacks, and what a rheostat cannot do', async () => {
  const terminal = listening();
  expect(await plan({ ...options, bench: `${BENCH}.none` }, terminal)).toBe(2);
  expect(await plan({ ...options, rheostat: [400, 500] }, terminal)).toBe(1);
  expect(terminal.noted).toHaveLength(2);
});
