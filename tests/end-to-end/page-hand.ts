import type { Page } from 'playwright-core';
import { expect } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import type { HandState } from '../../bridge/simulate/hand-commands.ts';
import { until } from '../until.ts';

/** The hand at a simulated bench as a person moves it: through the fields and buttons of its panel on the page. */
export class PageHand {
  readonly #page: Page;
  readonly #session: RunSession;

  constructor(page: Page, session: RunSession) {
    this.#page = page;
    this.#session = session;
  }

  get panel() {
    return this.#page.locator('.hand');
  }

  get jockey() {
    return this.#page.locator('.jockey-hand');
  }

  get state(): HandState {
    const state = this.#session.hand()?.state;
    if (state === undefined) throw new Error('no hand works this bench');
    return state;
  }

  /** Lifted or down as it is; beyond the ends of the scale it stops there. */
  async moveTo(row: number, scaleCm: number): Promise<void> {
    const stop = Math.round(10 * Math.min(100, Math.max(0, scaleCm))) / 10;
    await this.#type('Row', row, ({ to }) => to.row);
    await this.#type('Scale / cm', stop, ({ to }) => Number(to.scaleCm.toFixed(2)));
    await this.#rests(({ to }) => to.row === row && Math.abs(to.scaleCm - stop) < 0.01);
  }

  async press(down: boolean): Promise<void> {
    const name = down ? 'Press the jockey' : 'Lift the jockey';
    if (this.state.down !== down) await this.jockey.getByRole('button', { name }).click();
    await this.#rests((state) => state.down === down && state.pressed === down);
  }

  async tapAt(row: number, scaleCm: number): Promise<void> {
    await this.press(false);
    await this.moveTo(row, scaleCm);
    await this.press(true);
    await this.press(false);
  }

  async sweep(row: number, scaleCm: number, halfCm: number): Promise<void> {
    await this.press(false);
    await this.moveTo(row, scaleCm - halfCm);
    await this.press(true);
    await this.moveTo(row, scaleCm + halfCm);
    await this.press(false);
  }

  key(isClosed: boolean): Promise<void> {
    return this.#choose(
      'Driver key',
      isClosed ? 'closed' : 'open',
      ({ keyClosed }) => keyClosed === isClosed,
    );
  }

  protect(isIn: boolean): Promise<void> {
    return this.#choose('Protective resistance', isIn ? 'in' : 'out', ({ protect }) => protect === isIn);
  }

  cell(wanted: 1 | 2): Promise<void> {
    return this.#choose('Two-way key', `cell ${wanted}`, ({ cell }) => cell === wanted);
  }

  load(isIn: boolean): Promise<void> {
    return this.#choose('Load', isIn ? 'across the cell' : 'off', ({ load }) => load === isIn);
  }

  async loadOhm(ohm: number): Promise<void> {
    await this.panel.getByLabel('Load / Ω').selectOption(String(ohm));
    await this.#rests(({ switches }) => switches.loadOhm === ohm);
  }

  async rheostat(ohm: number): Promise<void> {
    await this.panel.getByLabel('Rheostat / Ω').selectOption(String(ohm));
    await this.#rests(({ switches }) => switches.rheostatOhm === ohm);
  }

  async #choose(group: string, name: string, done: (switches: HandState['switches']) => boolean) {
    const line = this.panel.getByRole('group', { name: group, exact: true });
    await line.getByRole('button', { name, exact: true }).click();
    await this.#rests(({ switches }) => done(switches));
  }

  /** Once the page has caught up: what is typed over a stale number that is the same changes nothing, and is not given. */
  async #type(name: string, value: number, stands: (state: HandState) => number): Promise<void> {
    const field = this.jockey.getByRole('spinbutton', { name });
    await expect
      .poll(async () => Number(await field.inputValue()), { timeout: 60_000 })
      .toBe(stands(this.state));
    await field.fill(String(value));
    await field.press('Enter');
    await field.blur();
  }

  #rests(reached: (state: HandState) => boolean): Promise<void> {
    return until(() => reached(this.state) && !this.state.busy, 'the hand does what it was told', 60_000);
  }
}

/** The place that the sentence names: row and scale reading. */
export async function placeInSentence(page: Page): Promise<[row: number, scaleCm: number]> {
  const text = (await page.textContent('.next-text')) ?? '';
  const found = /row (\d+) at ([\d.]+) cm/.exec(text);
  if (found === null) throw new Error(`no place in "${text}"`);
  return [Number(found[1]), Number(found[2])];
}

/** A long walk at a busy computer. */
export const WALK = { timeout: 240_000 };
const MOST_STEPS = 80;
const NEXT_MS = 3000;

/**
 * Reads the sentence at the top of the page and does that and nothing else, until `end` is said. Answers the steps that were
 * walked. A sentence that stands after it was obeyed is obeyed again.
 */
export async function followSentences(
  page: Page,
  obey: (step: string) => Promise<void>,
  end: (step: string) => boolean,
): Promise<string[]> {
  const walked: string[] = [];
  for (let count = 0; count < MOST_STEPS; count += 1) {
    const sentence = page.locator('.next-text');
    const step = (await sentence.getAttribute('data-step')) ?? '';
    if (walked.at(-1) !== step) walked.push(step);
    if (end(step)) return walked;
    const text = await sentence.textContent();
    try {
      await obey(step);
    } catch (error) {
      // A null that is found just then changes the sentence under the reader: it is read anew.
      if ((await sentence.getAttribute('data-step')) === step) throw error;
    }
    await page
      .waitForFunction((before) => document.querySelector('.next-text')?.textContent !== before, text, {
        timeout: NEXT_MS,
      })
      .catch(() => {});
  }
  throw new Error(`never came to an end: ${walked.join(', ')}`);
}

/** What every walk does alike. False for a step that is none of these. */
export async function obeyWithHand(page: Page, hand: PageHand, step: string): Promise<boolean> {
  if (step === 'tap-end') await hand.tapAt(...(await placeInSentence(page)));
  else if (step === 'hunt') await hand.sweep(...(await placeInSentence(page)), 15);
  else if (step === 'sweep') await hand.sweep(...(await placeInSentence(page)), 3);
  else if (step === 'close-key') await hand.key(true);
  else if (step === 'protect-in') await hand.protect(true);
  else if (step === 'protect-out') await hand.protect(false);
  else if (step === 'choose-cell') {
    await hand.protect(true);
    await hand.cell(await cellInSentence(page));
  } else return false;
  return true;
}

/** The cell that the sentence names. */
export async function cellInSentence(page: Page): Promise<1 | 2> {
  return /cell 1/.test((await page.textContent('.next-text')) ?? '') ? 1 : 2;
}
