import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { comparisonOf } from '../run/work-of.ts';
import { screenshotFolder } from './browser.ts';
import { followSentences, obeyWithHand, PageHand, WALK } from './page-hand.ts';
import { addByHand, openAt, openStage, type Stage } from './stage.ts';

/** A stranger at the simulated bench who does what the screen says, and nothing else. */

const SPEED = 10;

let stage: Stage;
let session: RunSession;

beforeAll(async () => {
  stage = await openStage();
  session = await addByHand(stage, SPEED);
});
afterAll(() => stage?.close());

const SCREENS = [
  { width: 1280, height: 720 },
  { width: 1280, height: 800 },
  { width: 390, height: 844 },
];

/** What to do, the balancing length, where to move the jockey and its button: on the screen, and nothing in front of them. */
async function expectInSight(page: Page): Promise<void> {
  const before = page.viewportSize();
  for (const screen of SCREENS) {
    await page.setViewportSize(screen);
    for (const down of [0, 400, 100_000]) {
      const hidden = await page.evaluate(async (top) => {
        scrollTo(0, top);
        await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
        const inFront = (name: string) => {
          const one = document.querySelector(name);
          const box = one?.getBoundingClientRect();
          if (one == null || box === undefined) return null;
          return document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
        };
        return ['.next-text', '.figure-number', '[data-testid=move]', '.hand-press'].filter(
          (name) => inFront(name)?.closest(name) == null,
        );
      }, down);
      expect(hidden, `${screen.width} x ${screen.height}, scrolled by ${down}`).toEqual([]);
    }
    const path = join(screenshotFolder(), `in-sight-${screen.width}-${screen.height}.jpg`);
    await page.screenshot({ path, type: 'jpeg', quality: 72 });
  }
  if (before !== null) await page.setViewportSize(before);
}

describe('someone who has never seen it', () => {
  it('finishes a set by doing what the screen says', WALK, async () => {
    const { page, troubles, close } = await openAt(stage, '');
    await page.waitForSelector('.hand');
    const hand = new PageHand(page, session);
    let seen = false;
    const walked = await followSentences(
      page,
      async (step) => {
        if (step === 'sweep' && !seen) await expectInSight(page);
        seen ||= step === 'sweep';
        await obeyWithHand(page, hand, step);
      },
      (step) => step === 'change-rheostat',
    );
    // As the cautions have it, the run begins with the key open.
    expect(walked[0]).toBe('close-key');
    expect(seen).toBe(true);
    for (const step of ['tap-end', 'hunt', 'protect-out', 'sweep', 'choose-cell'])
      expect(walked).toContain(step);
    const [set] = comparisonOf(session.view()).sets;
    expect(set.ratio).toBeCloseTo(1.5437 / 1.3386, 2);
    expect(await page.textContent('.next-text')).toMatch(/driver current is near \d+ mA/);
    expect(troubles).toEqual([]);
    await close();
  });

  it('can have the bench at its own speed, and is told that a press waits for a sweep to end', async () => {
    const { page, troubles, close } = await openAt(stage, '');
    const hand = new PageHand(page, session);
    await hand.press(true);
    await page.getByLabel('Speed').selectOption('1');
    const field = hand.jockey.getByRole('spinbutton', { name: 'Scale / cm' });
    await field.fill(session.hand()?.state.to.scaleCm === 5 ? '15' : '5');
    await field.press('Enter');
    await hand.jockey.getByRole('button', { name: 'Lift the jockey' }).click();
    await hand.jockey.getByRole('status').filter({ hasText: 'Still on its way' }).waitFor();
    await page.getByLabel('Speed').selectOption(String(SPEED));
    await hand.press(false);
    await hand.jockey.getByRole('status').filter({ hasText: /^$/ }).waitFor({ state: 'attached' });
    expect(troubles).toEqual([]);
    await close();
  });

  it('can undo the last event', async () => {
    const { page, close } = await openAt(stage, '');
    await page.waitForSelector('.hand');
    await page.locator('h1').click();
    await page.keyboard.press('s');
    await page.waitForFunction(() => document.querySelector('.labels')?.textContent?.includes('2 entered'));
    await page.keyboard.press('u');
    await page.waitForFunction(() => !document.querySelector('.labels')?.textContent?.includes('2 entered'));
    expect(session.view().events.at(-1)?.event?.kind).toBe('undo');
    await close();
  });

  it('may type a length, and reject it again', async () => {
    const { page, close } = await openAt(stage, '');
    await page.waitForSelector('.hand');
    const before = session.view().nulls.length;
    await page.locator('h1').click();
    await page.keyboard.press('l');
    await page.keyboard.type('43,2');
    await page.keyboard.press('Enter');
    await page.waitForFunction((count) => document.querySelectorAll('[data-null]').length > count, before);
    expect(session.view().nulls.at(-1)).toMatchObject({ by: 'eye', scaleCm: 43.2, uCm: expect.any(Number) });
    await page.keyboard.press('x');
    await page.keyboard.type('scale misread');
    await page.keyboard.press('Enter');
    await page.getByText('rejected: scale misread').waitFor();
    await close();
  });
});
