import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { builtTenwire, type Running } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';
import { axeFaults } from './axe-faults.ts';
import { launchChromium, openPage, screenshotFolder } from './browser.ts';

/** Slow machines give the students time, and not less of it. */
const PATIENCE = { timeout: 120_000 };

let folder: string;
let demo: Running;
let browser: Browser;
let board: Awaited<ReturnType<typeof openPage>>;

const addressOf = (what: RegExp): string => what.exec(demo.out())?.[1] ?? '';
const card = (bench: string) =>
  board.page
    .getByTestId('bench-card')
    .filter({ has: board.page.getByRole('button', { name: `Look on at ${bench}` }) });
const names = (page: Page) => page.locator('.bench-look [aria-hidden]').allTextContents();

beforeAll(async () => {
  folder = temporaryFolder();
  const args = ['demo', '--class', '8', '--speed', '6', '--http-port', '0', '--home', folder];
  demo = builtTenwire().start(args);
  await until(() => /the page of .*: http/.test(demo.out()), 'the class');
  browser = await launchChromium();
  board = await openPage(browser, addressOf(/class board: (\S+)/));
}, 120_000);
afterAll(async () => {
  await browser?.close();
  demo?.child.kill('SIGINT');
  await demo?.ended;
  rmSync(folder, { recursive: true, force: true });
});

describe('the board of a simulated class', () => {
  it('finds who needs help, and why', async () => {
    await card('Bench 3').getByText('Cell reversed').waitFor(PATIENCE);
    await card('Bench 8').getByText('Driver weaker than the cell').waitFor(PATIENCE);
    await card('Bench 7').getByText('its board is silent').waitFor(PATIENCE);
    await card('Bench 6').getByText('calls for you').waitFor(PATIENCE);
    await card('Bench 5')
      .getByText(/nothing new for \d+ min/)
      .waitFor(PATIENCE);
    expect((await names(board.page)).slice(0, 5)).toEqual([
      'Bench 6',
      'Bench 3',
      'Bench 8',
      'Bench 7',
      'Bench 5',
    ]);
    await board.page.screenshot({
      path: join(screenshotFolder(), 'class-1280.jpg'),
      quality: 85,
      type: 'jpeg',
    });
    expect(await axeFaults(board.page)).toEqual([]);
  }, 180_000);

  it('answers a bench that calls', async () => {
    await card('Bench 6').getByLabel('A line to Bench 6').fill('I come to you.');
    await card('Bench 6').getByRole('button', { name: 'Say', exact: true }).click();
    await card('Bench 6').getByText('calls for you').waitFor({ state: 'detached' });
  });

  it('keeps results to itself until they are shown, and puts them on one axis then', async () => {
    const { page } = board;
    await page.getByText(/benches have a result; results are hidden/).waitFor(PATIENCE);
    expect(await page.locator('.board').textContent()).not.toMatch(/E1\/E2 = /);
    await page.getByRole('button', { name: 'Show results' }).click();
    await card('Bench 1')
      .getByText(/E1\/E2 = 1\.1/)
      .waitFor(PATIENCE);
    const { 1: one, 2: two } = sceneWith({}).apparatus.cells;
    const shown = page.getByTestId('class-value');
    await shown.waitFor(PATIENCE);
    const value = Number(/value of the class: ([\d.]+)/.exec((await shown.textContent()) ?? '')?.[1]);
    expect(Math.abs(value - one.emfV / two.emfV)).toBeLessThan(0.002);
    expect(await page.locator('.class-axis circle').count()).toBeGreaterThanOrEqual(4);
    const size = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    expect(size[0]).toBeLessThanOrEqual(size[1]);
    await page.setViewportSize({ width: 1920, height: 1080 });
    await page.screenshot({
      path: join(screenshotFolder(), 'class-results-1920.jpg'),
      quality: 85,
      type: 'jpeg',
    });
    expect(await axeFaults(page)).toEqual([]);
    await page.setViewportSize({ width: 1280, height: 720 });
  }, 180_000);

  it('hears a call from a page at a bench, and what it answers stands there', async () => {
    const bench = await openPage(browser, addressOf(/the page of .*: (\S+)/));
    await bench.page.getByTestId('room-link').getByText('the room has everything').waitFor(PATIENCE);
    await bench.page.getByRole('button', { name: 'Call the teacher' }).click();
    await card('Bench 1').getByText('calls for you').waitFor();
    expect((await names(board.page))[0]).toBe('Bench 1');
    await bench.page.screenshot({
      path: join(screenshotFolder(), 'class-bench-1280.jpg'),
      quality: 85,
      type: 'jpeg',
    });
    await card('Bench 1').getByLabel('A line to Bench 1').fill('Well done. Write it up.');
    await card('Bench 1').getByRole('button', { name: 'Say', exact: true }).click();
    await bench.page.getByText('Well done. Write it up.').waitFor();
    await bench.page.getByText('The teacher has been called.').waitFor({ state: 'detached' });
    expect(await axeFaults(bench.page)).toEqual([]);
    expect(bench.troubles).toEqual([]);
    await bench.close();
  }, 180_000);

  it('opens the live page of a bench, for watching', async () => {
    const { page, troubles } = board;
    await page.getByRole('button', { name: 'Look on at Bench 1' }).click();
    await page.getByTestId('result').getByText(/1\.15/).waitFor(PATIENCE);
    expect(await page.getByRole('button', { name: /^Reject/ }).count()).toBe(0);
    await page.getByRole('button', { name: 'Recordings', exact: true }).click();
    await page
      .getByRole('row', { name: /^.*bench-1--/ })
      .first()
      .waitFor();
    await page.getByRole('button', { name: 'Class', exact: true }).click();
    await card('Bench 2').waitFor();
    expect(troubles).toEqual([]);
  }, 180_000);
});
