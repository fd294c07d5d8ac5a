import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readBench } from '../../bridge/bench/bench-file.ts';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { Running } from '../cli/tenwire.ts';
import { axeFaults } from './axe-faults.ts';
import type { BenchAtPort } from './bench-at-port.ts';
import { screenshotFolder } from './browser.ts';
import { placeInSentence, WALK } from './page-hand.ts';
import { openShippedStand, type ShippedStand } from './shipped-stand.ts';

/**
 * From a bridge that holds no run and knows no bench to a run on a board at a serial port, all of it on the page: the program
 * as it is shipped, the reference firmware at a pseudo-terminal, a hand at the bench.
 */

const PATIENCE_MS = 30_000;
/** Times real time, as far as the computer keeps up with the emulated board. */
const SPEED = 1.5;

let stand: ShippedStand;
let bench: BenchAtPort;
let serving: Running;
let opened: Awaited<ReturnType<ShippedStand['openAt']>>;
let page: Page;

beforeAll(async () => {
  stand = await openShippedStand('bench', SPEED, PATIENCE_MS);
  ({ bench } = stand);
  const served = await stand.serve('0');
  ({ serving } = served);
  opened = await stand.openAt(served.address, { width: 1280, height: 900 });
  ({ page } = opened);
}, 300_000);

afterAll(() => stand?.close(serving));

const button = (name: string) => page.getByRole('button', { name, exact: true });
const field = (path: string) => page.locator(`[data-path="${path}"]`);
const answer = () => page.getByTestId('board-answer');
const notice = () => page.locator('.banner-notice');

async function fill(values: Record<string, string>): Promise<void> {
  for (const [path, value] of Object.entries(values)) await field(path).fill(value);
}

async function listenTo(port: string): Promise<void> {
  await page.getByLabel('Port').fill(port);
  await button('Listen to it').click();
}

/** Holds the jockey at a mark, as the page asks for it. */
async function holdAt(mark: number): Promise<void> {
  await page.getByLabel('Mark / cm').fill(String(mark));
  await button('Hold here').click();
}

const picture = (name: string) =>
  page.screenshot({ path: join(screenshotFolder(), `${name}.jpg`), type: 'jpeg', quality: 72 });

describe('a run begun on the page', () => {
  it('shows where to begin while the bridge holds nothing', WALK, async () => {
    await page.getByText('No run yet: describe the bench and begin one').waitFor();
    expect(await page.locator('.plot').count()).toBe(0);
    expect(await axeFaults(page)).toEqual([]);
    await page.locator('.next').getByRole('button', { name: 'Bench' }).click();
    await page.getByText('No board answers yet').waitFor();
    expect(await axeFaults(page)).toEqual([]);
  });

  it('says plainly what is wrong with a port, until one answers', WALK, async () => {
    await listenTo('/dev/ttyNONE');
    await notice().getByText('there is no port /dev/ttyNONE: is the board plugged in?').waitFor();
    await listenTo(stand.folder);
    await notice().getByText('is not a serial port').waitFor();
    await listenTo(bench.at.path);
    await answer()
      .getByText(/Board unnamed answers: firmware tenwire-[\d.]+, 200 samples a second/)
      .waitFor();
    await notice().waitFor({ state: 'detached' });
    // Whoever wants the port for something else gets it back.
    await button('Stop listening').click();
    await button('Stop listening').waitFor({ state: 'detached' });
    await answer().getByText('No board answers yet').waitFor();
    await button('Listen to it').click();
    await answer().getByText('Board unnamed answers').waitFor();
  });

  it('calibrates the position at marks that were really held', WALK, async () => {
    await bench.goTo(1, 0, true);
    const moving = bench.work({ to: { row: 1, scaleCm: 20 } });
    await page.waitForTimeout(300);
    await holdAt(0);
    await notice().getByText('The jockey moved').waitFor();
    await moving;
    for (const mark of [0, 50, 100]) {
      await bench.goTo(1, mark, true);
      await holdAt(mark);
      await page.getByRole('row', { name: new RegExp(`^${mark} `) }).waitFor();
    }
    await notice().waitFor({ state: 'detached' });
    await page.getByText(/0\.25\d mm per count; marks lie off the line by \d\.\d\d mm/).waitFor();
    expect(await page.locator('.live-counts').first().textContent()).toMatch(/^Position counts: 39\d\d$/);
    await page.getByRole('heading', { name: 'The wire' }).evaluate((heading) => heading.scrollIntoView());
    await picture('bench-at-port-1280');
  });

  it('takes the zero only lifted, and the direction only at A', WALK, async () => {
    await button('Take the zero: jockey lifted').click();
    await notice().getByText('lift it for the zero').waitFor();
    await bench.goTo(1, 1, false);
    await button('Take the zero: jockey lifted').click();
    await expect.poll(() => field('galvanometer.zeroCounts').inputValue()).toMatch(/^205\d/);
    await page.getByText('Work the scale out from the front end').click();
    // Three operational amplifiers, 1 + 2 · 24 900/205, and the shunt of docs/hardware.md.
    await page.getByLabel('Gain').fill('243.93');
    await page.getByLabel('Shunt / Ω').fill('100');
    await button('Work out').click();
    const scale = () => field('galvanometer.microampsPerCount').inputValue();
    await expect.poll(scale).toMatch(/^0\.0500/);
    // The dither's resistor takes a tenth of a per cent of it.
    const share = Number(await scale()) / bench.truth.galvanometer.microampsPerCount;
    expect(Math.abs(share - 1)).toBeLessThan(0.002);
    await button('Check the direction: jockey at A').click();
    await notice().getByText('put it down at end A').waitFor();
    await bench.goTo(10, 1, true);
    await button('Check the direction: jockey at A').click();
    await notice().getByText('The jockey is on row 10: end A is on row 1.').waitFor();
    await bench.goTo(1, 1, true);
    await button('Check the direction: jockey at A').click();
    await page.getByText('At A the deflection is positive').waitFor();
    await bench.work({ pressed: false });
  });

  it('loses nothing of it to another page, a reload, or a press too many', WALK, async () => {
    const described = async () => [await field('galvanometer.zeroCounts').inputValue(), await marks()];
    const marks = () => page.getByTestId('points').locator('tbody tr').count();
    const before = await described();
    await page.getByRole('button', { name: 'Recordings', exact: true }).click();
    await page.getByText('No recordings yet').waitFor();
    await page.getByRole('button', { name: 'Bench', exact: true }).click();
    await answer().getByText('Board unnamed answers').waitFor();
    expect(await described()).toEqual(before);
    await page.reload();
    await answer().getByText('Board unnamed answers').waitFor();
    expect(await described()).toEqual(before);
    await button('nothing').click();
    expect(await page.getByTestId('points').count()).toBe(0);
    await button('back to what was described before').click();
    expect(await described()).toEqual(before);
  });

  it('takes meters and cells, refuses what is senseless by name, and saves', WALK, async () => {
    const { ammeter } = bench.truth;
    await fill({
      name: 'Bench 12 (invented)',
      'wire.resistanceOhm': 'about 20',
      'galvanometer.resistanceOhm': '118',
      protectiveResistanceOhm: '4700',
      'ammeter.milliampsPerCount': String(ammeter?.milliampsPerCount),
      'ammeter.zeroCounts': String(ammeter?.zeroCounts),
      'driver.emfV': '3.06',
      'cells.1.voltmeterV': '1.54',
      'cells.2.voltmeterV': '-1',
      'wire.rows': '0',
    });
    await button('Save the bench').click();
    const answer = page.getByTestId('saved');
    await answer.getByText('The wire, Resistance: a number').waitFor();
    for (const path of ['wire.rows', 'wire.resistanceOhm', 'cells.2.voltmeterV'])
      expect(await field(path).getAttribute('aria-invalid'), path).toBe('true');
    expect(await field('driver.emfV').getAttribute('aria-invalid')).toBe('false');
    expect(await axeFaults(page)).toEqual([]);
    expect(await button('Begin the run').isDisabled()).toBe(true);
    await fill({ 'wire.resistanceOhm': '19,6', 'wire.rows': '10', 'cells.2.voltmeterV': '1.34' });
    await button('Save the bench').click();
    await answer.getByText('saved as bench-12-invented.json').waitFor();
    const file = readFileSync(join(stand.folder, 'benches', 'bench-12-invented.json'), 'utf8');
    expect(readBench(JSON.parse(file))).toMatchObject({
      ok: true,
      bench: { wire: { resistanceOhm: 19.6 }, position: { points: [{}, {}, {}] } },
    });
  });

  it('hands the port over to the run, which is live at once', WALK, async () => {
    await page
      .getByLabel('Who, with roll numbers, set off by commas')
      .fill('A. Student (invented), B. Student (invented)');
    await page.getByLabel('Temperature / °C').fill('21,5');
    await button('Begin the run').click();
    await page.getByTestId('link').getByText('board unnamed answers').waitFor();
    expect(await page.evaluate(() => scrollY)).toBe(0);
    expect(await notice().count()).toBe(0);
    await page.getByText('Tap the jockey near end A').waitFor();
    const samples = async () =>
      Number(
        /([\d\u2009]+) samples/
          .exec((await page.getByTestId('findings').textContent()) ?? '')?.[1]
          .replace(/\u2009/g, ''),
      );
    const before = await samples();
    await expect.poll(samples, { timeout: PATIENCE_MS }).toBeGreaterThan(before + 200);
    expect(stand.recordings()).toEqual([expect.stringMatching(/-bench-12-invented\.rec$/)]);
    await page.locator('.about summary').click();
    await page.getByLabel('Course or class').fill('Physics 2 (invented)');
    await page.getByLabel('Group').fill('7');
    await page.locator('.about').getByRole('button', { name: 'Save' }).click();
    await page.locator('.about:not([open])').waitFor();
  });

  it('finds a null by what its sentence says, with its picture', WALK, async () => {
    for (const _ of ['A', 'B']) {
      const text = await page.textContent('.next-text');
      const [row, scaleCm] = await placeInSentence(page);
      await bench.goTo(row, scaleCm, true);
      // As long as an eye needs to see where the needle goes.
      await page.waitForTimeout(500);
      await bench.work({ pressed: false });
      await page.waitForFunction((was) => document.querySelector('.next-text')?.textContent !== was, text);
    }
    await page.waitForSelector('.next-text[data-step=hunt]');
    const [row, scaleCm] = await placeInSentence(page);
    await bench.goTo(row, Math.max(0, scaleCm - 12), true);
    await bench.work({ to: { row, scaleCm: scaleCm + 12 } });
    await bench.work({ pressed: false });
    const card = page.locator('[data-null=n1]');
    await card.getByRole('img', { name: /^picture n1: 61\d\.\d+ ± 0\.0\d+ cm/ }).waitFor();
    await card.getByText('coarse').waitFor();
    await page.waitForSelector('.next-text[data-step=protect-out]');
    expect(await axeFaults(page)).toEqual([]);
  });

  it(
    'is ended on the page once it was asked twice; its recording says and replays the same',
    WALK,
    async () => {
      const shown = await page.locator('[data-null=n1] .null-length').textContent();
      await page.getByRole('button', { name: 'Bench', exact: true }).click();
      await answer().getByText('Board unnamed answers').waitFor();
      expect(await field('name').inputValue()).toBe('Bench 12 (invented)');
      await button('Begin the run').click();
      await notice().getByText('is the port of Bench 12 (invented), which is on').waitFor();
      await button('End the run').click();
      await button('Cancel').click();
      await button('End the run').click();
      await button('End it now; its recording is kept').click();
      const [file] = stand.recordings();
      await page.getByRole('button', { name: `Replay ${file}` }).click();
      await page.getByLabel('Speed').selectOption('300');
      const { nulls, stream } = stand.reportOf(file);
      expect(nulls).toHaveLength(1);
      const { lengthCm, uCm } = nulls[0];
      // A zero that is measured again later moves a null by a hair: at its end the replay says what the report says.
      const replayed = page.locator('[data-null=n1] .null-length');
      await replayed.getByText(` ${roundTogether(lengthCm, uCm).value} `).waitFor();
      expect(Number(/n1 ([\d.]+)/.exec(shown ?? '')?.[1])).toBeCloseTo(lengthCm ?? 0, 1);
      // The run came into the middle of a line, and was ended in another.
      expect(stream).toMatchObject({ lostSamples: 0, boots: 1 });
      expect(stream.badLines).toBeLessThanOrEqual(2);
      expect(readFileSync(join(stand.folder, 'recordings', file), 'utf8')).toContain(
        '"by":["A. Student (invented)","B. Student (invented)"],"temperatureC":21.5',
      );
      expect(stand.reportOf(file).about).toMatchObject({ course: 'Physics 2 (invented)', group: '7' });
      expect(opened.troubles).toEqual([]);
    },
  );

  it('begins the next run at that bench with the head of its record, but for whose it is', WALK, async () => {
    await page.getByRole('button', { name: 'Bench', exact: true }).click();
    await button('Begin the run').click();
    await expect.poll(() => stand.recordings().length, { timeout: PATIENCE_MS }).toBe(2);
    await page.getByTestId('link').getByText('board unnamed answers').waitFor();
    const [newest] = stand.recordings().sort().reverse();
    const { about } = stand.reportOf(newest);
    expect(about).toMatchObject({ course: 'Physics 2 (invented)' });
    expect(about).not.toHaveProperty('group');
  });
});
