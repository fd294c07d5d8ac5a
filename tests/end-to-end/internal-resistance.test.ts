import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { axeFaults } from './axe-faults.ts';
import { screenshotFolder } from './browser.ts';
import { followSentences, obeyWithHand, PageHand, WALK } from './page-hand.ts';
import { addByHand, openAt, openStage, type Stage } from './stage.ts';

/** A cell's internal resistance at the simulated bench, by hand, following the sentence alone. */

const R_OHM = DEFAULT_SCENE.apparatus.cells[1].resistanceOhm;
/** One load a set; the hand puts it in, the fields of the page say it. */
const LOADS_OHM = [10, 5];

let stage: Stage;
let session: RunSession;
let opened: Awaited<ReturnType<typeof openAt>>;
let page: Page;

beforeAll(async () => {
  stage = await openStage();
  session = await addByHand(stage, 10, { procedure: 'internal-resistance' });
  opened = await openAt(stage, '#run=by-hand', { viewport: { width: 1280, height: 900 } });
  page = opened.page;
  await page.waitForSelector('.hand');
});
afterAll(async () => {
  await opened?.close();
  await stage?.close();
});

const labels = () => page.getByRole('region', { name: 'At the bench' });

async function recordLoad(ohm: number): Promise<void> {
  await labels().getByLabel('Load / Ω', { exact: true }).fill(String(ohm));
  await labels().getByLabel('Standard uncertainty of the load / Ω').fill('0,005');
  await labels().getByRole('button', { name: 'Save' }).click();
  await expect.poll(() => session.view().labels.load).toMatchObject({ ohm, uOhm: 0.005 });
}

/** Once: on a busy computer the sentence stands for a while after it was obeyed. */
async function anotherLoad(hand: PageHand): Promise<void> {
  if (session.view().labels.set.value === 2) return;
  await hand.load(false);
  await hand.loadOhm(LOADS_OHM[1]);
  await recordLoad(LOADS_OHM[1]);
  await page.getByRole('button', { name: 'begin the next set' }).click();
  await expect.poll(() => session.view().labels.set.value).toBe(2);
}

describe('internal resistance, by hand', () => {
  it('comes to a result by doing what the screen says: open, loaded, another load', WALK, async () => {
    const hand = new PageHand(page, session);
    const wholeSets = () =>
      session.view().work.sets.filter((set) => 'rOhm' in set && set.rOhm !== null).length;
    const walked = await followSentences(
      page,
      async (step) => {
        if (step === 'say-load') await recordLoad(LOADS_OHM[0]);
        else if (step === 'change-load') await anotherLoad(hand);
        else if (step === 'load')
          await hand.load(/^Close/.test((await page.textContent('.next-text')) ?? ''));
        else await obeyWithHand(page, hand, step);
      },
      (step) => step === 'change-load' && wholeSets() === 2,
    );
    const order = [
      'close-key',
      'tap-end',
      'hunt',
      'protect-out',
      'sweep',
      'say-load',
      'load',
      'protect-in',
      'hunt',
    ];
    expect(walked.slice(0, order.length)).toEqual(order);
    const result = session.view().work.outcome?.result;
    if (result == null) throw new Error('no result');
    expect(Math.abs(result.value - R_OHM)).toBeLessThan(result.U);
    expect(result.U).toBeLessThan(0.03 * R_OHM);
    // On a slow machine more of the bench's minutes go by, and U is on either side of 0.010.
    expect(await page.textContent('[data-testid=result]')).toMatch(/^r = 0\.4\d+ ± 0\.0\d+ Ω$/);
    expect(await page.locator('[data-testid=observations] tbody tr').count()).toBe(2);
    await page
      .getByText(/Load 5 Ω · ([\d.]+ cm at the set’s driver current · )?used/)
      .first()
      .waitFor();
  });

  it('has no fault that axe-core can see, is shown whole under Result, and fits a phone', WALK, async () => {
    const pictures = screenshotFolder();
    const picture = (name: string) =>
      page.screenshot({ path: join(pictures, `${name}.jpg`), type: 'jpeg', quality: 72 });
    await page.evaluate(() => scrollTo(0, 0));
    await picture('internal-resistance-1280');
    expect(await axeFaults(page)).toEqual([]);
    await page.getByRole('button', { name: 'Result', exact: true }).click();
    const budget = page.locator('.budget');
    await budget.getByText('load of 5 ohm').waitFor();
    expect(await axeFaults(page)).toEqual([]);
    await page.getByRole('button', { name: 'Run', exact: true }).click();
    await page.setViewportSize({ width: 390, height: 1500 });
    await page.waitForSelector('.hand');
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    await picture('internal-resistance-390');
    expect(opened.troubles).toEqual([]);
  });
});
