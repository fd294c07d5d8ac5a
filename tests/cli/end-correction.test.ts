import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { begin, compare, SWEEPS } from '../independent-recordings/writer/student.ts';
import { builtTenwire } from './tenwire.ts';

const folder = mkdtempSync(join(tmpdir(), 'tenwire-end-'));
afterAll(() => rmSync(folder, { recursive: true }));

const JOINT_OHM = 0.018;

/** By the writer that shares no code with the program: 40 and 20 mV in place of the cells, a joint worth 0.9 cm at A. */
function recorded(): string {
  const run = begin({
    seed: 3,
    bench: {
      endAOhm: JOINT_OHM,
      file: {
        endCorrection: undefined,
        cells: { '1': { label: 'larger', voltmeterV: 0.04 }, '2': { label: 'smaller', voltmeterV: 0.02 } },
      },
    },
  });
  run.bench.circuit.cells[1].emfV = 0.04;
  run.bench.circuit.cells[2].emfV = 0.02;
  compare(run, { rheostatsOhm: [8, 10.5], recordsSets: true, fine: { ...SWEEPS, reachCm: 3 } });
  const path = join(folder, 'end.rec');
  writeFileSync(path, run.text);
  return path;
}

test('the end correction of a recorded bench, and the lines for its file', () => {
  const path = recorded();
  const tenwire = builtTenwire();
  const asked = ['end-correction', path, '--ratio', '2', '--u-ratio', '0.002'];
  const { code, out, err } = tenwire.run([...asked, '--json']);
  expect(err).toBe('');
  expect(code).toBe(0);
  const answer = JSON.parse(out);
  const trueCm = (JOINT_OHM * 1000) / 20;
  expect(answer.sets).toHaveLength(2);
  expect(Math.abs(answer.valueCm - trueCm)).toBeLessThan(2 * answer.standardUncertaintyCm);
  expect(answer.standardUncertaintyCm).toBeLessThan(0.2);
  expect(tenwire.run(asked).out).toMatch(
    /"endCorrection": \{"valueCm":0\.\d+,"standardUncertaintyCm":0\.\d+\}/,
  );
});

test('an ordinary run is refused: its lengths do not lie in row 1', () => {
  const { code, err } = builtTenwire().run([
    'end-correction',
    'fixtures/comparison-four-sets.rec',
    '--ratio',
    '2',
    '--u-ratio',
    '0.002',
  ]);
  expect(code).toBe(1);
  expect(err).toContain('row 1');
});
