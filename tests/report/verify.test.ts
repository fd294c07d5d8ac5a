import { execFileSync } from 'node:child_process';
import { appendFileSync, copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { verifyReport } from '../../bridge/commands/verify-report.ts';
import { RECORD_PAGES, recordPage } from '../../bridge/report/page/record-page.tsx';
import { type ReportedRun, readRun } from '../../bridge/report/read-run.ts';
import { type ReportJson, reportJson } from '../../bridge/report/report-json.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { fixtureRun } from './runs.ts';

/** What a teacher does who doubts a report that was handed in. */

const NAME = 'operator-words.rec';
const makeRun = await runMaker();

describe('a report held against its recording', () => {
  let run: ReportedRun;
  let folder: string;
  let recording: string;

  beforeAll(async () => {
    run = await fixtureRun(NAME);
  });
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'tenwire-verify-'));
    recording = join(folder, NAME);
    copyFileSync(join('fixtures', NAME), recording);
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  const verify = async (report: string) => {
    const lines: string[] = [];
    const path = join(folder, 'report');
    writeFileSync(path, report);
    const add = (line: string) => lines.push(line);
    const code = await verifyReport(path, recording, {
      out: add,
      note: add,
      progress: () => {},
      interactive: false,
    });
    return { agrees: code === 0, lines };
  };
  const asJson = (change: (report: ReportJson) => void = () => {}): string => {
    const report: ReportJson = structuredClone(reportJson(run));
    change(report);
    return JSON.stringify(report);
  };

  it('has the fingerprint that sha256sum finds', () => {
    const [found] = execFileSync('sha256sum', [recording], { encoding: 'utf8' }).split(' ');
    expect(reportJson(run).recording).toEqual({ bytes: readFileSync(recording).length, sha256: found });
    expect(recordPage(run)).toContain(found);
  });

  it('holds as JSON and as a page', async () => {
    expect(await verify(asJson())).toMatchObject({ agrees: true });
    for (const make of Object.values(RECORD_PAGES)) {
      const page = await verify(make(run));
      expect(page.agrees).toBe(true);
      expect(page.lines.join()).toContain('byte for byte');
    }
  });

  it('holds when more was recorded later, which is named', async () => {
    appendFileSync(recording, '900000 ! {"kind":"reject","null":"n1","reason":"a slip"}\n900001 < $S,1\n');
    const { agrees, lines } = await verify(asJson());
    expect(agrees).toBe(true);
    expect(lines.join()).toMatch(/2 lines came later and were left out; events among them: "reject"/);
  });

  it('does not hold with a digit changed, which is named with what the recording gives', async () => {
    const value = run.view.work.outcome?.result?.value ?? Number.NaN;
    const changed = asJson((report) => {
      if (report.result !== null) report.result.value = 1.4612;
      report.nulls[0].lengthCm = 500;
    });
    const { agrees, lines } = await verify(changed);
    expect(agrees).toBe(false);
    expect(lines.join('\n')).toContain(`result.value: 1.4612 in the report, ${value} by the recording`);
    expect(lines.join('\n')).toContain('nulls.0.lengthCm: 500 in the report');
  });

  it('does not hold with a finding left out or a field put in', async () => {
    const changed = asJson((report) => {
      report.findings.pop();
      Object.assign(report, { mark: 'excellent' });
    });
    const { agrees, lines } = await verify(changed);
    expect(agrees).toBe(false);
    expect(lines.join()).toMatch(/findings\.\d+/);
    expect(lines.join()).toContain('mark: "excellent" in the report, nothing by the recording');
  });

  it('does not hold for a recording with one byte changed, or cut short', async () => {
    const report = asJson();
    const bytes = readFileSync(recording);
    bytes[40_000] ^= 1;
    writeFileSync(recording, bytes);
    expect((await verify(report)).lines.join()).toContain('was not made from this recording');
    writeFileSync(recording, bytes.subarray(0, 30_000));
    const { agrees, lines } = await verify(report);
    expect(agrees).toBe(false);
    expect(lines.join()).toContain('the recording has 30000 bytes');
  });

  it('as a page saved anew says what can be compared; with another result it does not hold', async () => {
    const page = recordPage(run);
    const saved = await verify(page.replace('<main>', '\n<main>\n'));
    expect(saved.agrees).toBe(true);
    expect(saved.lines.join()).toContain('nothing more can be told of a page');
    const [result] = /\d\.\d+ ± \d\.\d+/.exec(page) ?? ['none'];
    const forged = await verify(page.replace(result, '1.4700 ± 0.0001'));
    expect(forged.agrees).toBe(false);
    expect(forged.lines.join()).toContain(result);
  });

  it.each([
    ['no JSON', '{'],
    ['other JSON', '{"format":"tenwire-report/1"}'],
    ['null', 'null'],
    [
      'a length below nothing',
      JSON.stringify({ format: 'tenwire-report/1', recording: { bytes: -1, sha256: 'a'.repeat(64) } }),
    ],
    [
      'a hash that is none',
      JSON.stringify({ format: 'tenwire-report/1', recording: { bytes: 1, sha256: '../x' } }),
    ],
    ['a page without a fingerprint', '<!doctype html><p class="statement">1.5</p>'],
  ])('is refused where it is %s', async (_, report) => {
    const { agrees, lines } = await verify(report);
    expect(agrees).toBe(false);
    expect(lines.join()).toContain('no report of tenwire');
  });

  it('of a run that goes on is made from what was there when it was asked for', async () => {
    const before = readFileSync(recording);
    const events = () => appendFileSync(recording, '900000 ! {"kind":"set","set":9}\n');
    const reading = await readRun(recording, makeRun, { progress: events });
    expect(readFileSync(recording).length).toBeGreaterThan(before.length);
    if (!reading.ok) throw new Error(reading.text);
    expect(await verify(JSON.stringify(reportJson(reading.run)))).toMatchObject({ agrees: true });
  });
});
