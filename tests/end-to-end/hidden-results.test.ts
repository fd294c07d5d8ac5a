import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ReportJson } from '../../bridge/report/report-json.ts';
import { builtTenwire, pageAddress, type Running, type Tenwire } from '../cli/tenwire.ts';
import { pageClient } from '../serve/page-client.ts';
import { until } from '../until.ts';
import { launchChromium, openPage, screenshotFolder } from './browser.ts';

/** Results that a teacher hides, on the program as it is shipped: what a student may try, and the walk of both. */

let folder: string;
let tenwire: Tenwire;
let demo: Running;
let port: number;
let teacherLink: string;
let recording: string;
/** What the recording tells whoever holds it. */
let report: ReportJson;
let browser: Browser;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-hidden-'));
  browser = await launchChromium();
  tenwire = builtTenwire();
  const options = ['--hide-results', '--speed', '60', '--http-port', '0', '--home', folder];
  demo = tenwire.start(['demo', ...options], { cwd: folder });
  port = Number(new URL(await pageAddress(demo)).port);
  await until(() => /recording: \S+\n/.test(demo.out()), 'the end of the run', 120_000);
  teacherLink = /sees hidden results: (\S+)/.exec(demo.out())?.[1] ?? '';
  recording = /recording: (\S+)/.exec(demo.out())?.[1] ?? '';
  report = JSON.parse(tenwire.run(['report', '--json', recording]).out);
}, 200_000);

afterAll(async () => {
  demo?.child.kill('SIGINT');
  await demo?.ended;
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

const token = () => new URL(teacherLink).hash.replace('#token=', '');

/** Numbers that give the result away, to four decimals, wherever a number begins with them. */
function secretIn(text: string): string | null {
  const values = [report.result?.value, report.byTheBook?.mean, ...report.sets.map((set) => ratioOf(set))];
  const digits = values.map((value) => (Math.floor(10_000 * (value ?? 0)) / 10_000).toFixed(4));
  expect(digits.length).toBe(6);
  const found = new RegExp(`(?<![\\d.])(${digits.join('|').replaceAll('.', '\\.')})`).exec(text);
  return found?.[0] ?? null;
}

const ratioOf = (set: ReportJson['sets'][number]): number => ('ratio' in set ? (set.ratio ?? 0) : 0);

async function ask(name: string, body: object, bearer = ''): Promise<{ ok: boolean; text?: string }> {
  const response = await fetch(`http://127.0.0.1:${port}/api/${name}`, {
    method: 'POST',
    headers: {
      Origin: `http://127.0.0.1:${port}`,
      ...(bearer === '' ? {} : { Authorization: `Bearer ${bearer}` }),
    },
    body: JSON.stringify(body),
  });
  return (await response.json()) as { ok: boolean; text?: string };
}

/** All that a page is told of a run, without the readings, whose digits are anybody's. */
async function toldOf(session: string, shown: { role?: string; token?: string } = {}) {
  const client = await pageClient(port, { ...shown, acks: true });
  client.send({ type: 'open', session });
  await until(() => client.frames().some(({ view }) => view !== undefined), 'the view');
  client.send({ type: 'calculation' });
  await until(() => client.heard.some(({ type }) => type === 'calculation'), 'the calculation');
  return { client, text: () => JSON.stringify(client.heard.map((told) => ({ ...told, points: 0, now: 0 }))) };
}

const EXPORTS = ['page', 'short', 'sheet', 'json', 'sets', 'nulls'];

describe('a result that is hidden', () => {
  it('is no student’s by WebSocket: to steer, to watch, by another token, of a replay', async () => {
    const { session } = (await ask('replay', { file: basename(recording) })) as unknown as {
      session: string;
    };
    for (const id of ['demo', session])
      for (const shown of [{}, { role: 'watch' }, { token: 'a-guess' }, { role: 'teach' }]) {
        const { client, text } = await toldOf(id, shown);
        expect(client.heard.find(({ type }) => type === 'welcome')).not.toMatchObject({ role: 'teach' });
        client.send({ type: 'play', seekS: 1e6 });
        await client.hasHeardAll();
        expect(secretIn(text())).toBeNull();
        client.socket.close();
      }
    await ask('end', { session });
  });

  it('is no student’s by an export, a class table, a comparison or the list', async () => {
    const file = basename(recording);
    for (const as of EXPORTS) {
      const answer = await ask('export', { session: 'demo', as });
      expect([as, answer.ok]).toEqual([as, ['sheet', 'sets', 'nulls'].includes(as)]);
      expect([as, secretIn(JSON.stringify(answer))]).toEqual([as, null]);
    }
    for (const as of ['print', 'csv', 'json'])
      expect(await ask('class', { files: [file], as })).toMatchObject({ ok: false });
    for (const name of ['whole', 'summary']) {
      const answer = await ask(name, { file });
      expect(answer.ok).toBe(true);
      expect(secretIn(JSON.stringify(answer))).toBeNull();
    }
  });

  it('is not on the terminal', () => {
    expect(demo.out()).toContain('Results are hidden until your own working is handed in');
    expect(secretIn(demo.out() + demo.err())).toBeNull();
  });

  it('is the teacher’s by all of them', async () => {
    const { client, text } = await toldOf('demo', { token: token() });
    expect(client.heard.find(({ type }) => type === 'welcome')).toMatchObject({ role: 'teach' });
    expect(secretIn(text())).not.toBeNull();
    client.socket.close();
    for (const as of EXPORTS.filter((kind) => kind !== 'sheet' && kind !== 'nulls'))
      expect(secretIn(JSON.stringify(await ask('export', { session: 'demo', as }, token())))).not.toBeNull();
    const summary = await ask('summary', { file: basename(recording) }, token());
    expect(secretIn(JSON.stringify(summary))).not.toBeNull();
  });

  it('stays so whatever a student says: only the teacher shows it, and a part of the working is not handed in', async () => {
    const { client, text } = await toldOf('demo');
    const numbers = () => client.heard.filter((told) => told.type === 'answer');
    const working = { kind: 'working' as const, sets: [], mean: '1.2', uncertainty: '' };
    const events = [
      { kind: 'results' as const, hidden: false },
      // The first events of a recording are its bench, whose run it is, and that results are hidden.
      ...[1, 2, 3, 4, 5].map((event) => ({ kind: 'undo' as const, event })),
      working,
      { ...working, sets: [{ set: 1, ammeterMa: '', made: '1.2' }] },
    ];
    for (const [request, event] of events.entries()) client.send({ type: 'event', request, event });
    await until(() => numbers().length === events.length, 'the answers');
    expect(numbers()[0]).toMatchObject({ ok: false });
    await client.hasHeardAll();
    expect(secretIn(text())).toBeNull();
    client.socket.close();
  });
});

describe('students and teacher', () => {
  const SLIPS: Record<number, (l1: number, l2: number) => number> = {
    1: (l1, l2) => l2 / l1,
    2: (l1, l2) => (l1 + 100) / l2,
    3: (l1, l2) => l1 / (l2 - 100),
  };

  it('work: three planted slips are marked, and only then the result is there', async () => {
    const student = await openPage(browser, `http://127.0.0.1:${port}/#tab=result`);
    const teacher = await openPage(browser, `${teacherLink}&tab=result`);
    await teacher.page.getByTestId('result').waitFor();
    await student.page.getByText('Your teacher has hidden the result').waitFor();
    expect(await student.page.getByTestId('result').count()).toBe(0);
    expect(await student.page.getByRole('button', { name: 'Report as JSON' }).count()).toBe(0);
    expect(await student.page.getByRole('region', { name: 'For the teacher' }).count()).toBe(0);
    await picture(student.page, 'hidden-result');
    await picture(teacher.page, 'teacher');

    const made = await fillIn(student.page);
    const handIn = student.page.getByRole('button', { name: 'Hand in' });
    await student.page
      .getByLabel(/, Set 4$/)
      .last()
      .fill('');
    await handIn.click();
    await student.page.getByText('Not handed in yet').waitFor();
    expect(await student.page.getByTestId('result').count()).toBe(0);

    await student.page
      .getByLabel(/, Set 4$/)
      .last()
      .fill(made[3]);
    await handIn.click();
    await student.page.getByTestId('result').waitFor();
    const remarks = await student.page.getByRole('note').allTextContents();
    expect(remarks.filter((text) => text.startsWith('✗')).length).toBe(4);
    expect(remarks[0]).toMatch(/^✗ .*(E2\/E1|other way round|exchanged)/i);
    expect(remarks[1]).toMatch(/^✗ .*row/);
    expect(remarks[2]).toMatch(/^✗ .*row/);
    expect(remarks[3]).toMatch(/^✓/);
    await picture(student.page, 'handed-in');
    expect(student.troubles).toEqual([]);

    await teacher.page.getByText('The students see the result.').waitFor();
    expect(teacher.troubles).toEqual([]);
    await student.close();
    await teacher.close();
  });

  it('find all of it in the recording', () => {
    const json = tenwire.run(['report', '--json', recording]);
    expect(json.code).toBe(0);
    const page = tenwire.run(['report', '--out', '-', recording]).out;
    expect(page).toContain('Worked out by hand');
  });

  const picture = (page: Page, name: string) =>
    page.screenshot({ path: join(screenshotFolder(), `${name}-1280.jpg`), type: 'jpeg', quality: 72 });

  /** Types a ratio for each set, three of them with a slip, and the mean of what was typed. */
  async function fillIn(page: Page): Promise<string[]> {
    const rows = page.locator('.own-working tbody tr');
    const made: string[] = [];
    for (let set = 1; set <= (await rows.count()); set += 1) {
      const cells = await rows
        .nth(set - 1)
        .locator('td')
        .allTextContents();
      const lengths = cells.map(Number).filter((cm) => cm > 200);
      const slip = SLIPS[set] ?? ((l1: number, l2: number) => l1 / l2);
      made.push(slip(lengths[0], lengths[1]).toFixed(5));
      await rows
        .nth(set - 1)
        .locator('input')
        .last()
        .fill(made[set - 1]);
    }
    const mean = made.reduce((sum, text) => sum + Number(text), 0) / made.length;
    await page.getByLabel('mean', { exact: true }).fill(mean.toFixed(5));
    return made;
  }
});
