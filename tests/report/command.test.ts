import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { ReportOptions } from '../../bridge/commands/report.ts';
import { report } from '../../bridge/commands/report.ts';
import { RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';

/** A small recording: two lengths read by eye. */
const RECORDING = [
  { kind: 'bench', bench: INVENTED_BENCH },
  { kind: 'about', startedUtc: '2026-03-02T09:30:00Z', by: ['a pair (invented)'] },
  { kind: 'length', cell: 1, set: 1, row: 6, scaleCm: 40, uCm: 0.05 },
  { kind: 'length', cell: 2, set: 1, row: 5, scaleCm: 70, uCm: 0.05 },
]
  .map((event, index) => `${index} ! ${JSON.stringify(event)}\n`)
  .join('');

const PAGE: ReportOptions = { kinds: [], language: 'en', stated: null, out: null, verify: null };

describe('tenwire report', () => {
  let folder: string;
  let out: string[];
  let notes: string[];
  const run = (files: string[], options: Partial<ReportOptions>) =>
    report(
      files,
      { ...PAGE, ...options },
      {
        out: (line) => out.push(line),
        note: (line) => notes.push(line),
        progress: () => {},
        interactive: false,
      },
    );
  const inFolder = (name: string) => join(folder, name);

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'tenwire-report-'));
    writeFileSync(inFolder('one.rec'), `${RECORDING_HEADER}\n${RECORDING}`);
    [out, notes] = [[], []];
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  it('writes a sheet to work on by hand, without the result', async () => {
    expect(await run([inFolder('one.rec')], { kinds: ['sheet'] })).toBe(0);
    const sheet = readFileSync(inFolder('one-sheet.html'), 'utf8');
    expect(sheet).toContain('560.0');
    expect(sheet).not.toContain('statement">');
    expect(sheet.replace(/<[^>]*>/g, '')).not.toMatch(/1\.1\d{2}/);
  });

  it('prints one JSON object and nothing else', async () => {
    expect(await run([inFolder('one.rec')], { kinds: ['json'] })).toBe(0);
    expect(JSON.parse(out.join('\n'))).toMatchObject({
      format: 'tenwire-report/1',
      procedure: 'emf-comparison',
    });
    expect(notes).toEqual([]);
  });

  it('writes the page beside its recording, and again over itself, but over nothing else', async () => {
    expect(await run([inFolder('one.rec')], {})).toBe(0);
    expect(readFileSync(inFolder('one.html'), 'utf8')).toMatch(/^<!doctype html>/);
    expect(await run([inFolder('one.rec')], {})).toBe(0);
    writeFileSync(inFolder('one.html'), 'my own notes');
    expect(await run([inFolder('one.rec')], {})).toBe(1);
    expect(readFileSync(inFolder('one.html'), 'utf8')).toBe('my own notes');
    expect(notes.at(-1)).toContain('is no report');
  });

  it('writes no table and no JSON over a recording, a bench file or anything else', async () => {
    const [recording, bench] = [inFolder('two.rec'), inFolder('bench.json')];
    writeFileSync(recording, `${RECORDING_HEADER}\n${RECORDING}`);
    writeFileSync(bench, JSON.stringify(INVENTED_BENCH, null, 2));
    writeFileSync(inFolder('one-nulls.csv'), 'my,own,table\r\n1,2,3\r\n');
    for (const kind of [{ kinds: ['json'] }, { kinds: ['csv'] }] as const)
      for (const out of [recording, bench, inFolder('one.rec')]) {
        const before = readFileSync(out);
        expect(await run([inFolder('one.rec')], { ...kind, out })).toBe(1);
        expect(readFileSync(out)).toEqual(before);
        expect(notes.join(' ')).toContain('is no report');
      }
    expect(await run([inFolder('one.rec')], { kinds: ['observations'] })).toBe(1);
    expect(readFileSync(inFolder('one-nulls.csv'), 'utf8')).toMatch(/^my,own/);
  });

  it('writes a table and JSON again over themselves, and not over each other', async () => {
    for (const [kind, other] of [
      ['json', 'csv'],
      ['csv', 'json'],
    ] as const) {
      const to = inFolder(`report.${kind}`);
      writeFileSync(to, '');
      for (let time = 0; time < 2; time += 1)
        expect(await run([inFolder('one.rec')], { kinds: [kind], out: to })).toBe(0);
      expect(await run([inFolder('one.rec')], { kinds: [other], out: to })).toBe(1);
    }
    for (let time = 0; time < 2; time += 1)
      expect(await run([inFolder('one.rec')], { kinds: ['observations'] })).toBe(0);
  });

  it('notes a torn last line', async () => {
    writeFileSync(inFolder('one.rec'), '12345.6 < S,1', { flag: 'a' });
    expect(await run([inFolder('one.rec')], { kinds: ['json'] })).toBe(0);
    const codes = JSON.parse(out.join('\n')).findings.map((finding: { code: string }) => finding.code);
    expect(codes).toContain('recording-torn');
  });

  it('answers 1 and says what is wrong with a file that can’t be read, and goes on with the others', async () => {
    writeFileSync(inFolder('not.rec'), 'hello\n');
    const files = [inFolder('absent.rec'), inFolder('not.rec'), folder, inFolder('one.rec')];
    expect(await run(files, { kinds: ['csv'] })).toBe(1);
    // RFC 4180: every record ends in CR LF, the last one too; `out` adds the LF
    for (const line of out.join('\n').split('\n')) expect(line.endsWith('\r')).toBe(true);
    expect(notes[0]).toContain('there is no file');
    expect(notes[1]).toContain('is not a recording');
    expect(notes[2]).toContain('is a folder');
    expect(out.join('\n')).toContain('run,one.rec');
    expect(await run([inFolder('absent.rec')], { kinds: ['json'] })).toBe(1);
  });

  it('answers 2 to what can’t be meant, before anything is read', async () => {
    const file = inFolder('one.rec');
    expect(await run([file], { kinds: ['json', 'csv'] })).toBe(2);
    expect(await run([file, file], { kinds: ['json'] })).toBe(2);
    expect(await run([file, file], { out: inFolder('x.html') })).toBe(2);
    expect(await run([file], { kinds: ['observations'], out: '-' })).toBe(2);
    expect(out).toEqual([]);
    expect(notes.length).toBe(4);
  });

  it('writes observations with their metadata beside them', async () => {
    expect(await run([inFolder('one.rec')], { kinds: ['observations'] })).toBe(0);
    for (const name of ['one-sets.csv', 'one-nulls.csv']) {
      expect(readFileSync(inFolder(name), 'utf8')).toMatch(/^[a-zA-Z0-9,]+\r\n/);
      // W3C, Model for Tabular Data, 5.2 and 5.3: metadata is looked for at {url}-metadata.json
      expect(JSON.parse(readFileSync(inFolder(`${name}-metadata.json`), 'utf8'))).toMatchObject({
        url: name,
      });
    }
  });

  it('answers 1 where it can’t write', async () => {
    const nowhere = join(folder, 'no', 'such', 'page.html');
    expect(await run([inFolder('one.rec')], { out: nowhere })).toBe(1);
    expect(existsSync(nowhere)).toBe(false);
    expect(notes.at(-1)).toContain('could not be written');
  });
});
