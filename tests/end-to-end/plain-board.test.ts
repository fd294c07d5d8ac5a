import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { truthOf } from '../../bridge/simulate/truth.ts';
import { comparisonOf } from '../run/work-of.ts';
import { axeFaults } from './axe-faults.ts';
import { screenshotFolder } from './browser.ts';
import { cellInSentence, followSentences, PageHand, placeInSentence, WALK } from './page-hand.ts';
import { addByHand, openAt, openStage, type Stage } from './stage.ts';

/** A board that senses the two currents and nothing else: what it can't know is said with keys, lengths are typed. */

const RHEOSTATS_OHM = [8];

let stage: Stage;
let session: RunSession;
let opened: Awaited<ReturnType<typeof openAt>>;
let page: Page;
let hand: PageHand;

beforeAll(async () => {
  stage = await openStage();
  session = await addByHand(stage, 10, { plainBoard: true });
  opened = await openAt(stage, '#run=by-hand', { viewport: { width: 1280, height: 900 } });
  page = opened.page;
  await page.waitForSelector('.hand');
  hand = new PageHand(page, session);
});
afterAll(async () => {
  await opened?.close();
  await stage?.close();
});

async function key(name: string): Promise<void> {
  await page.locator('h1').click();
  await page.keyboard.press(name);
}

/** The deflection as the page shows it, in µA; beyond the span only its side is told. */
async function deflection(): Promise<number> {
  // Board and page take their time to follow the hand.
  await page.waitForTimeout(600);
  const text = (await page.locator('.figures dd').first().textContent()) ?? '';
  const size = /beyond span/.test(text) ? 999 : Number(/[\d.]+/.exec(text)?.[0]);
  return text.startsWith('−') ? -size : size;
}

async function deflectionAt(row: number, scaleCm: number): Promise<number> {
  await hand.press(false);
  await hand.moveTo(row, scaleCm);
  await hand.press(true);
  const ua = await deflection();
  await hand.press(false);
  return ua;
}

/** Narrows the null down between two readings of the page's figure, as a student does; answers the scale reading. */
async function huntOnRow(row: number, nearCm: number, reachCm: number): Promise<number> {
  let [low, high] = [Math.max(0, nearCm - reachCm), Math.min(100, nearCm + reachCm)];
  let [lowUa, highUa] = [await deflectionAt(row, low), await deflectionAt(row, high)];
  for (let count = 0; count < 8 && high - low > 0.35; count += 1) {
    const straight = Math.abs(lowUa) < 900 && Math.abs(highUa) < 900;
    const share = straight ? Math.min(0.9, Math.max(0.1, lowUa / (lowUa - highUa))) : 0.5;
    const middle = Math.round(10 * (low + share * (high - low))) / 10;
    const ua = await deflectionAt(row, middle);
    if (Math.abs(ua) < 0.3 || middle === low || middle === high) return middle;
    if (ua > 0 === lowUa > 0) [low, lowUa] = [middle, ua];
    else [high, highUa] = [middle, ua];
  }
  return low + ((high - low) * lowUa) / (lowUa - highUa);
}

async function typeLength(): Promise<void> {
  const sentence = await page.textContent('.next-text');
  const [row, nearCm] = await placeInSentence(page);
  const scaleCm = await huntOnRow(row, nearCm, 6);
  const before = session.view().nulls.length;
  await key('l');
  const form = page.locator('form.typed');
  await form.getByLabel('Row').fill(String(row));
  await form.getByLabel('Scale reading').fill(scaleCm.toFixed(2).replace('.', ','));
  await form.getByLabel('Standard uncertainty').fill('0.03');
  await page.keyboard.press('Enter');
  await page.waitForSelector(`[data-null=n${before + 1}]`);
  // On a busy machine the next sentence takes its time, and the same one must not be obeyed twice.
  await page.waitForFunction((was) => document.querySelector('.next-text')?.textContent !== was, sentence);
}

/** Says with one key that the protective resistance is in, or out; the key turns over what stands, so it is waited for. */
async function recordProtect(step: string): Promise<void> {
  await key('p');
  await page.waitForSelector(`.next-text:not([data-step=${step}])`);
}

async function huntByEye(): Promise<void> {
  expect(await deflectionAt(1, 1)).toBeGreaterThan(5);
  expect(await deflectionAt(10, 1)).toBeLessThan(-5);
  await hand.protect(false);
  await recordProtect('hunt-by-eye');
}

async function obey(step: string): Promise<void> {
  if (step === 'close-key') await hand.key(true);
  else if (step === 'choose-cell') {
    const cell = await cellInSentence(page);
    await hand.cell(cell);
    await key(String(cell));
  } else if (step === 'protect-in') {
    await hand.protect(true);
    await recordProtect('protect-in');
  } else if (step === 'hunt-by-eye') await huntByEye();
  else if (step === 'type-length') await typeLength();
  else if (step === 'change-rheostat') {
    await hand.rheostat(RHEOSTATS_OHM[0]);
    await expect.poll(() => session.view().labels.set.value, { timeout: 20_000 }).toBe(2);
  }
}

describe('a board that senses little', () => {
  it('leads to a result all the same: keys say what it can’t know, lengths are typed', WALK, async () => {
    const pictures = screenshotFolder();
    // Not by how often it is said: on a busy computer a sentence stands for a while after it was obeyed.
    const wholeSets = () => comparisonOf(session.view()).sets.filter(({ ratio }) => ratio !== null).length;
    const walked = await followSentences(
      page,
      async (step) => {
        if (step === 'type-length' && session.view().nulls.length === 1)
          await page.screenshot({ path: join(pictures, 'plain-board-1280.jpg'), type: 'jpeg', quality: 72 });
        await obey(step);
      },
      (step) => step === 'change-rheostat' && wholeSets() === 2,
    );
    const order = [
      'close-key',
      'choose-cell',
      'protect-in',
      'hunt-by-eye',
      'type-length',
      'choose-cell',
      'type-length',
    ];
    expect(walked.slice(0, order.length)).toEqual(order);
    const { work, nulls } = session.view();
    expect(nulls.map(({ by, used }) => [by, used])).toEqual(Array(4).fill(['eye', true]));
    const result = work.outcome?.result;
    if (result == null) throw new Error('no result');
    expect(Math.abs(result.value - truthOf(sceneWith({})).ratio)).toBeLessThan(result.U);
    expect(result.U).toBeLessThan(0.002);
    const currents = work.sets.map(({ driverMa }) => Math.round(driverMa ?? 0));
    expect(currents[0]).toBeGreaterThan(currents[1]);
    expect(currents[1]).toBeGreaterThan(100);
  });

  it(
    'says what it lacks, shows nothing that it can’t know, and has no fault that axe-core can see',
    WALK,
    async () => {
      expect(await page.locator('.plot-length').count()).toBe(0);
      expect(await page.locator('.figures').first().textContent()).not.toContain('Jockey');
      expect(await axeFaults(page)).toEqual([]);
      await key('l');
      await page.locator('form.typed').waitFor();
      expect(await axeFaults(page)).toEqual([]);
      await page.locator('form.typed').getByLabel('Scale reading').fill('43');
      await page.locator('form.typed').getByLabel('Row').fill('11');
      expect(await page.getByRole('button', { name: 'Add the length' }).isDisabled()).toBe(true);
      expect(opened.troubles).toEqual([]);
    },
  );
});
