import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { parse } from 'csv-parse/sync';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ReportJson } from '../../bridge/report/report-json.ts';
import { builtTenwire, pageAddress, type Running, type Tenwire } from '../cli/tenwire.ts';
import { launchChromium, openPage } from './browser.ts';
import { WALK } from './page-hand.ts';

/** The buttons of the Result page, on a run that goes on and on a replay: the program as it is shipped, read back by other programs. */

const FIXTURE = 'comparison-four-sets';

const schema = JSON.parse(readFileSync(join('docs', 'report.schema.json'), 'utf8'));
const validate = new Ajv2020({ strict: true, allowUnionTypes: true, strictTypes: false }).compile(schema);

let folder: string;
let browser: Browser;
let tenwire: Tenwire;
let demo: Running;
let opened: Awaited<ReturnType<typeof openPage>>;
let page: Page;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-exports-'));
  mkdirSync(join(folder, 'recordings'));
  copyFileSync(join('fixtures', `${FIXTURE}.rec`), join(folder, 'recordings', `${FIXTURE}.rec`));
  browser = await launchChromium();
  tenwire = builtTenwire();
  demo = tenwire.start(['demo', '--speed', '8', '--http-port', '0', '--out', 'recordings/live.rec'], {
    cwd: folder,
  });
  opened = await openPage(browser, 'about:blank');
  page = opened.page;
  page.setDefaultTimeout(60_000);
  await page.addInitScript(() => localStorage.setItem('tenwire.cautions', 'read'));
  await page.goto(await pageAddress(demo));
}, 300_000);

afterAll(async () => {
  demo?.child.kill('SIGKILL');
  await demo?.ended;
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

const tab = (name: string) => page.getByRole('button', { name, exact: true }).click();

/** Presses a button of the exports and reads the file that comes of it. */
async function download(button: string): Promise<{ name: string; text: string }> {
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: button, exact: true }).click(),
  ]);
  return { name: file.suggestedFilename(), text: readFileSync(await file.path(), 'utf8') };
}

async function downloadReport(): Promise<{ name: string; report: ReportJson }> {
  const { name, text } = await download('Report as JSON');
  const report: ReportJson = JSON.parse(text);
  expect(validate(report), JSON.stringify(validate.errors)).toBe(true);
  return { name, report };
}

async function downloadTable(button: string): Promise<{ name: string; rows: Record<string, string>[] }> {
  const { name, text } = await download(button);
  return { name, rows: parse(text, { columns: true }) };
}

async function openRecord(): Promise<{ text: string; title: string }> {
  const [record] = await Promise.all([
    page.waitForEvent('popup'),
    page.getByRole('button', { name: 'The record, for printing', exact: true }).click(),
  ]);
  const troubles: string[] = [];
  record.on('console', (message) => {
    if (message.type() === 'error') troubles.push(message.text());
  });
  await record.locator('h1').waitFor({ timeout: 60_000 });
  const text = (await record.textContent('body')) ?? '';
  const drawn = await record.locator('svg').first().boundingBox();
  expect(drawn?.width).toBeGreaterThan(100);
  const title = await record.title();
  expect(troubles).toEqual([]);
  await record.close();
  return { text, title };
}

const digits = (value: number | null | undefined): string => (value ?? Number.NaN).toFixed(4);

describe('the exports of the Result page', () => {
  it('of a run that goes on show how it stands', WALK, async () => {
    await page.waitForFunction(
      () => document.querySelectorAll('[data-testid=observations] tbody tr').length >= 1,
    );
    await tab('Result');
    const first = await downloadReport();
    expect(first.name).toBe('live.json');
    expect(first.report.sets.length).toBeGreaterThanOrEqual(1);
    const sets = await downloadTable('Sets as CSV');
    expect(sets.name).toBe('live-sets.csv');
    const [set] = first.report.sets;
    // The run goes on between the two: another reading moves the length by a millimetre or so.
    expect(Number(sets.rows[0].l1Cm)).toBeCloseTo('l1Cm' in set ? (set.l1Cm ?? 0) : 0, 0);
    const nulls = await downloadTable('Nulls as CSV');
    expect(nulls.name).toBe('live-nulls.csv');
    expect(nulls.rows.length).toBeGreaterThanOrEqual(first.report.nulls.length);
    expect(nulls.rows.map((row) => row.null).slice(0, 2)).toEqual(['n1', 'n2']);
    const record = await openRecord();
    expect(record.text).toContain('simulated student (invented)');
    // There once a set has both lengths.
    const details = page.locator('.own-working');
    await details.locator('summary').click();
    await details.getByLabel('l₁/l₂, Set 1').waitFor();
    const { l1Cm, l2Cm } = (await downloadReport()).report.sets[0] as { l1Cm: number; l2Cm: number };
    await details.getByLabel('l₁/l₂, Set 1').fill((l2Cm / l1Cm).toFixed(3));
    await details.getByRole('button', { name: 'Compare' }).click();
    await details.getByText('The two lengths are exchanged').waitFor();
    await details.getByLabel('l₁/l₂, Set 1').fill((l1Cm / l2Cm).toFixed(3));
    await details.getByRole('button', { name: 'Compare' }).click();
    // The run goes on: its last reading may have moved the third decimal.
    await details.getByText(/✓ Right\.|Right but for its last digit/).waitFor();
    expect((await openRecord()).text).toContain('Worked out by hand');
    // It went on all the while.
    expect(demo.err()).not.toContain('goes on being served');
  });

  it('of a replay hold the whole recording, as the command line does', WALK, async () => {
    await tab('Recordings');
    await page.getByRole('button', { name: `Replay ${FIXTURE}.rec` }).click();
    await page.getByRole('button', { name: 'Pause' }).click();
    await tab('Result');
    const { name, report } = await downloadReport();
    expect(name).toBe(`${FIXTURE}.json`);
    const told = tenwire.run(['report', '--json', join(folder, 'recordings', `${FIXTURE}.rec`)]);
    expect(report).toEqual(JSON.parse(told.out));
    const sets = await downloadTable('Sets as CSV');
    expect(sets.rows.map((row) => Number(row.ratio))).toEqual(
      report.sets.map((set) => 'ratio' in set && set.ratio),
    );
    const nulls = await downloadTable('Nulls as CSV');
    expect(nulls.rows.map((row) => row.null)).toEqual(report.nulls.map((found) => found.id));
    expect(nulls.rows.map((row) => Number(row.lengthCm))).toEqual(
      report.nulls.map((found) => found.lengthCm),
    );
    const record = await openRecord();
    expect(record.text).toContain(digits(report.result?.value));
    expect(record.title).not.toBe('');
    expect(opened.troubles).toEqual([]);
  });
});
