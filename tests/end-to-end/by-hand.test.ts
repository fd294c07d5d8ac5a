import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { addByHand, openStage, type Stage, stepOf, visit } from './stage.ts';

/** A stranger at the simulated bench who does what the screen says, and nothing else. */

const SPEED = 5;

let stage: Stage;
let session: RunSession;

beforeAll(async () => {
  stage = await openStage();
  session = await addByHand(stage, SPEED);
});
afterAll(() => stage?.close());

const hand = (page: Page) => page.locator('.hand');

async function type(page: Page, name: string, value: number): Promise<void> {
  const field = hand(page).getByRole('spinbutton', { name });
  await field.fill(String(value));
  await field.press('Enter');
  await field.blur();
}

/** Until the hand has done what it was told. */
const handRests = async (page: Page): Promise<void> => {
  await page.waitForTimeout(200);
  while (session.hand()?.state.busy === true) await page.waitForTimeout(50);
  // A move is begun at once and then takes its time.
  let before = '';
  for (;;) {
    const now = JSON.stringify(session.view().now?.scaleCm?.toFixed(1));
    if (now === before) return;
    before = now;
    await page.waitForTimeout(250);
  }
};

async function goTo(page: Page, row: number, scaleCm: number): Promise<void> {
  await type(page, 'Jockey on row', row);
  await type(page, 'Jockey on the scale / cm', Math.min(100, Math.max(0, scaleCm)));
  await handRests(page);
}

async function press(page: Page): Promise<void> {
  await page.locator('.hand-press').click();
  await handRests(page);
}

const placeSaid = async (page: Page): Promise<[number, number]> => {
  const found = /row (\d+) at ([\d.]+) cm/.exec((await page.textContent('.next-text')) ?? '');
  if (found === null) throw new Error(`no place in "${await page.textContent('.next-text')}"`);
  return [Number(found[1]), Number(found[2])];
};

async function sweep(page: Page, halfCm: number): Promise<void> {
  const [row, scaleCm] = await placeSaid(page);
  await goTo(page, row, scaleCm - halfCm);
  await press(page);
  await type(page, 'Jockey on the scale / cm', Math.min(100, scaleCm + halfCm));
  await handRests(page);
  await press(page);
}

const choose = async (page: Page, name: string): Promise<void> => {
  await hand(page).getByRole('button', { name, exact: true }).click();
  await handRests(page);
};

/** Does what one sentence says. */
async function obey(page: Page, step: string | null): Promise<void> {
  if (step === 'tap-end') {
    await goTo(page, ...(await placeSaid(page)));
    await press(page);
    await press(page);
  } else if (step === 'hunt') await sweep(page, 15);
  else if (step === 'sweep') await sweep(page, 3);
  else if (step === 'protect-in') await choose(page, 'in');
  else if (step === 'protect-out') await choose(page, 'out');
  else if (step === 'choose-cell') {
    const cell = /cell (\d)/.exec((await page.textContent('.next-text')) ?? '')?.[1];
    await choose(page, 'in');
    await choose(page, `cell ${cell}`);
  } else await page.waitForTimeout(300);
}

describe('someone who has never seen it', () => {
  it('finishes a set by doing what the screen says', async () => {
    const { page, troubles, close } = await visit(stage, '');
    await page.waitForSelector('.hand');
    const walked: (string | null)[] = [];
    for (let count = 0; count < 40; count += 1) {
      const step = await stepOf(page);
      if (walked.at(-1) !== step) walked.push(step);
      if (step === 'change-rheostat') break;
      await obey(page, step);
      await page.waitForTimeout(300);
    }
    expect(walked.at(-1)).toBe('change-rheostat');
    for (const step of ['tap-end', 'hunt', 'protect-out', 'sweep', 'choose-cell'])
      expect(walked).toContain(step);
    const [set] = session.view().sets;
    expect('ratio' in set ? set.ratio : null).toBeCloseTo(1.5437 / 1.3386, 2);
    expect(await page.textContent('.next-text')).toMatch(/driver current is near \d+ mA/);
    expect(troubles).toEqual([]);
    await close();
  });

  it('may take the last word back', async () => {
    const { page, close } = await visit(stage, '');
    await page.waitForSelector('.hand');
    await page.locator('h1').click();
    await page.keyboard.press('s');
    await page.waitForFunction(() => document.querySelector('.labels')?.textContent?.includes('2 said'));
    await page.keyboard.press('u');
    await page.waitForFunction(() => !document.querySelector('.labels')?.textContent?.includes('2 said'));
    expect(session.view().events.at(-1)?.event?.kind).toBe('undo');
    await close();
  });

  it('may type a length, and reject it again', async () => {
    const { page, close } = await visit(stage, '');
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
