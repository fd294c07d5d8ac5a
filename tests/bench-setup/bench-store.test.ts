import { mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { historyOf, listBenches, loadBench, saveBench } from '../../bridge/bench-setup/bench-store.ts';
import { sampleBench } from '../serve/sample-view.ts';
import { CAN_FILL, onFullDisk } from './full-disk.ts';

let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-benches-'));
});

afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

describe('the folder of bench files', () => {
  it('gives back what was saved, unknown fields and all', () => {
    const bench = { ...sampleBench, room: 'L2', wire: { ...sampleBench.wire, alloy: 'manganin' } };
    expect(saveBench(folder, 'bench-4.json', bench)).toEqual({ ok: true, kept: false });
    expect(saveBench(folder, 'bench-4.json', bench)).toEqual({ ok: true, kept: false });
    const other = { ...bench, room: 'L3' };
    expect(saveBench(folder, 'bench-4.json', other)).toEqual({ ok: true, kept: true });
    saveBench(folder, 'bench-4.json', bench);
    expect(loadBench(folder, 'bench-4.json')).toEqual({ ok: true, bench });
  });

  it('keeps what stood there before, and nothing twice', () => {
    for (const name of ['first', 'second', 'second', 'third']) {
      expect(saveBench(folder, 'b.json', { ...sampleBench, name }).ok).toBe(true);
    }
    expect(historyOf(folder, 'b.json')).toEqual(['b.v0001.json', 'b.v0002.json']);
    const oldest = JSON.parse(readFileSync(join(folder, 'history', 'b.v0001.json'), 'utf8'));
    expect(oldest.name).toBe('first');
    expect(listBenches(folder)).toMatchObject([{ file: 'b.json', versions: 2 }]);
  });

  it('overwrites no old bench where one before it was taken away', () => {
    const save = (name: string) => saveBench(folder, 'b.json', { ...sampleBench, name });
    for (const name of ['first', 'second', 'third']) save(name);
    rmSync(join(folder, 'history', 'b.v0001.json'));
    save('fourth');
    expect(historyOf(folder, 'b.json')).toEqual(['b.v0002.json', 'b.v0003.json']);
    expect(readFileSync(join(folder, 'history', 'b.v0002.json'), 'utf8')).toMatch(/second/);
  });

  it('is listed also where a link in it leads nowhere', () => {
    saveBench(folder, 'b.json', sampleBench);
    symlinkSync('gone', join(folder, 'link.json'));
    expect(listBenches(folder)).toMatchObject([{ file: 'b.json' }]);
  });

  it('names the field of a senseless bench and leaves the old one as it was', () => {
    saveBench(folder, 'b.json', sampleBench);
    const senseless = { ...sampleBench, wire: { ...sampleBench.wire, rows: 0 } };
    expect(saveBench(folder, 'b.json', senseless)).toMatchObject({
      ok: false,
      text: expect.stringMatching(/wire\.rows/),
    });
    expect(loadBench(folder, 'b.json')).toEqual({ ok: true, bench: sampleBench });
  });

  it.each(['../b.json', 'a/b.json', '.b.json', 'b.txt', '', 'b.json/..', 'C:b.json', 'b\0.json'])(
    'refuses the name %j',
    (name) => {
      expect(saveBench(folder, name, sampleBench).ok).toBe(false);
      expect(loadBench(folder, name).ok).toBe(false);
      expect(readdirSync(folder)).toEqual([]);
    },
  );

  it('keeps no bench that a run could not begin with', () => {
    const nested = JSON.parse(`${'['.repeat(3000)}${']'.repeat(3000)}`);
    for (const notes of [nested, 'x'.repeat(300_000)]) {
      const saved = saveBench(folder, 'b.json', { ...sampleBench, notes });
      expect(saved).toMatchObject({ ok: false, text: expect.stringContaining('too long for a recording') });
    }
    expect(readdirSync(folder)).toEqual([]);
  });

  it.runIf(CAN_FILL)('never puts a part of a file in the place of the whole', async () => {
    saveBench(folder, 'b.json', sampleBench);
    const longer = { ...sampleBench, notes: 'x'.repeat(8000) };
    const saved = await onFullDisk(4096, () => saveBench(folder, 'b.json', longer));
    expect(saved).toMatchObject({ ok: false, text: expect.stringMatching(/The old bench stands/) });
    expect(loadBench(folder, 'b.json')).toEqual({ ok: true, bench: sampleBench });
    expect(readdirSync(folder).sort()).toEqual(['b.json', 'history']);
  });

  it('says so when it can not write, with the old bench untouched and no draft left', () => {
    saveBench(folder, 'b.json', sampleBench);
    rmSync(join(folder, 'history'), { recursive: true });
    // A file where the folder of old benches should be: even root can not write below it.
    writeFileSync(join(folder, 'history'), '');
    const saved = saveBench(folder, 'b.json', { ...sampleBench, name: 'other' });
    expect(saved).toMatchObject({ ok: false, text: expect.stringMatching(/The old bench stands/) });
    expect(loadBench(folder, 'b.json')).toEqual({ ok: true, bench: sampleBench });
    expect(readdirSync(folder).sort()).toEqual(['b.json', 'history']);
  });
});
