import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { comparisonOf } from '../run/work-of.ts';
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

describe('someone who has never seen it', () => {
  it('finishes a set by doing what the screen says', WALK, async () => {
    const { page, troubles, close } = await openAt(stage, '');
    await page.waitForSelector('.hand');
    const hand = new PageHand(page, session);
    const walked = await followSentences(
      page,
      async (step) => {
        await obeyWithHand(page, hand, step);
      },
      (step) => step === 'change-rheostat',
    );
    for (const step of ['tap-end', 'hunt', 'protect-out', 'sweep', 'choose-cell'])
      expect(walked).toContain(step);
    const [set] = comparisonOf(session.view()).sets;
    expect(set.ratio).toBeCloseTo(1.5437 / 1.3386, 2);
    expect(await page.textContent('.next-text')).toMatch(/driver current is near \d+ mA/);
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
