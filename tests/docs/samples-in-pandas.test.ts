import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { builtTenwire } from '../cli/tenwire.ts';

/** The tables of a run in pandas, as docs/file-formats.md shows it. */

const RECORDING = 'fixtures/comparison-four-sets.rec';
const [, EXAMPLE] = /```python\n(.*?)```/s.exec(readFileSync('docs/file-formats.md', 'utf8')) ?? [];

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-pandas-'));
  const tenwire = builtTenwire();
  for (const [option, out] of [
    ['--samples', 'run-samples.csv'],
    ['--observations', 'run'],
  ])
    expect(tenwire.run(['report', option, '--out', join(folder, out), RECORDING]).code).toBe(0);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Counts the sample lines whose CRC holds, with Python's own CRC-16/CCITT (`binascii.crc_hqx`). */
const SOUND_SAMPLES = `
import binascii, re
lines = open('${join(process.cwd(), RECORDING)}', 'rb').read().splitlines()
found = [re.match(rb'\\S+ < (S,.*)\\*([0-9A-F]{4})$', line) for line in lines]
print(sum(1 for line in found if line and binascii.crc_hqx(line[1], 0xFFFF) == int(line[2], 16)))
`;

const python = (text: string): string =>
  execFileSync('/usr/bin/python3', ['-c', text], { cwd: folder, encoding: 'utf8' });

describe('the samples of a run in pandas', () => {
  it('have the types that their metadata states, a row for each sound sample line of the recording', () => {
    const metadata = JSON.parse(readFileSync(join(folder, 'run-samples.csv-metadata.json'), 'utf8'));
    const told = python(
      "import pandas as pd; t = pd.read_csv('run-samples.csv'); print(len(t)); print(dict(t.dtypes.astype(str)))",
    );
    const [rows, types] = told.trim().split('\n');
    expect(Number(rows)).toBe(Number(python(SOUND_SAMPLES)));
    const read = JSON.parse(types.replaceAll("'", '"'));
    const pandas: Record<string, string> = { number: 'float64', integer: 'int64', boolean: 'bool' };
    for (const { name, datatype } of metadata.tableSchema.columns)
      expect([name, read[name]]).toEqual([name, pandas[datatype]]);
  });

  it('give the balancing length that the program found, by a straight line', () => {
    const told = python(EXAMPLE ?? '');
    const [, byHand, found] = /by hand (\S+) cm, found (\S+) cm/.exec(told) ?? [];
    // The carriage lags behind its sensor on a single pass, which the program takes off and the straight line does not.
    expect(Math.abs(Number(byHand) - Number(found))).toBeLessThan(0.1);
    expect(Number(found)).toBeGreaterThan(100);
  });
});
