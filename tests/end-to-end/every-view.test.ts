import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LANGUAGES } from '../../bridge/messages/language.ts';
import { builtPath } from '../built.ts';
import { axeFaults } from './axe-faults.ts';
import { openPage, screenshotFolder } from './browser.ts';
import { addByHand, addReplay, openAt, openStage, type Stage } from './stage.ts';

let stage: Stage;
let pictures: string;

beforeAll(async () => {
  stage = await openStage();
  pictures = screenshotFolder();
  await addReplay(stage, 500);
  await addByHand(stage, 1);
});
afterAll(() => stage?.close());

const VIEWS: [name: string, address: string, ready: string][] = [
  ['run', '#run=replay', '[data-testid=result]'],
  ['by-hand', '#run=by-hand', '.hand'],
  ['plan', '#tab=plan&run=replay', '.setup form'],
  ['result', '#tab=result&run=replay', '.budget'],
  ['recordings', '#tab=recordings&run=replay', '.recording-table'],
  ['bench', '#tab=bench&run=by-hand', '.counts'],
  ['show', 'show#run=replay', '.show-status'],
];

const WIDTHS: [width: number, height: number][] = [
  [390, 1500],
  [1280, 900],
  [1920, 1080],
];

describe.each(VIEWS)('%s', (name, address, ready) => {
  it.each(['light', 'dark'] as const)('has no fault that axe-core can see, %s', async (colorScheme) => {
    const { page, troubles, close } = await openAt(stage, address, { colorScheme });
    await page.waitForSelector(ready);
    expect(await axeFaults(page)).toEqual([]);
    expect(troubles).toEqual([]);
    await close();
  });

  it.each(WIDTHS)('fits a screen %i wide', async (width, height) => {
    const { page, close } = await openAt(stage, address, { viewport: { width, height } });
    await page.waitForSelector(ready);
    await page.waitForTimeout(400);
    await page.screenshot({ path: join(pictures, `${name}-${width}.jpg`), type: 'jpeg', quality: 72 });
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    await close();
  });

  it('is in Spanish for a reader of Spanish', async () => {
    const { page, troubles, close } = await openAt(stage, address, { locale: 'es-ES' });
    await page.waitForSelector(ready);
    expect(await page.getAttribute('html', 'lang')).toBe('es');
    expect(await page.textContent('body')).toMatch(/Longitud de equilibrio|Banco|Desviación|hilo|fila/);
    await page.setViewportSize({ width: 390, height: 844 });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
    expect(troubles).toEqual([]);
    await close();
  });
});

const BOARD = 'board-page-';

describe('the page as a whole', () => {
  it.each(LANGUAGES)('weighs at most 90 kB of gzipped script and style for a reader of %s', (language) => {
    const assets = builtPath('web/assets');
    const others = LANGUAGES.filter((other) => other !== language);
    const loaded = readdirSync(assets).filter(
      (file) => !others.some((other) => file.startsWith(`${other}-`)),
    );
    const bytes = (files: string[]) =>
      files.reduce((sum, file) => sum + gzipSync(readFileSync(join(assets, file))).length, 0);
    // The class board is loaded by the page of a room alone, as the next test sees.
    expect(bytes(loaded.filter((file) => !file.startsWith(BOARD)))).toBeLessThanOrEqual(90_000);
    expect(bytes(loaded)).toBeLessThanOrEqual(93_000);
  });

  it('loads the texts of the language in use and no others, nor the class board, and changes it', async () => {
    const { page, troubles, close } = await openPage(stage.browser, 'about:blank');
    const scripts: string[] = [];
    page.on('request', (request) => scripts.push(new URL(request.url()).pathname));
    await page.goto(`${stage.server.url}#run=replay`);
    await page.waitForSelector('[data-testid=result]');
    expect(scripts.filter((path) => /\/(en|es)-/.test(path))).toEqual([expect.stringContaining('/en-')]);
    expect(scripts.filter((path) => path.includes(BOARD))).toEqual([]);
    await page.getByLabel('Language').selectOption('es');
    await page.getByText('Longitud de equilibrio').first().waitFor();
    expect(await page.getAttribute('html', 'lang')).toBe('es');
    expect(troubles).toEqual([]);
    await close();
  });

  it('says the cautions once, before anything else, with the rule that local staff come first', async () => {
    const { page, close } = await openAt(stage, '#run=by-hand');
    await page.evaluate(() => localStorage.removeItem('tenwire.cautions'));
    await page.addInitScript(() => localStorage.removeItem('tenwire.cautions'));
    await page.reload();
    await page.getByText('qualified staff come first').first().waitFor();
    await page.getByRole('button', { name: 'Understood' }).click();
    expect(await page.getByRole('button', { name: 'Understood' }).count()).toBe(0);
    await close();
  });

  it('can be walked through with the keyboard alone', async () => {
    const { page, close } = await openAt(stage, '#run=by-hand');
    await page.waitForSelector('.hand');
    const reached = new Set<string>();
    const unseen: string[] = [];
    for (let count = 0; count < 64; count += 1) {
      await page.keyboard.press('Tab');
      const { text, outlined } = await page.evaluate(() => {
        const active = document.activeElement ?? document.body;
        const isThere = active !== document.body;
        return {
          text: active.textContent?.trim() ?? '',
          outlined: !isThere || getComputedStyle(active).outlineStyle !== 'none',
        };
      });
      reached.add(text);
      if (!outlined) unseen.push(text);
    }
    for (const name of ['Run', 'Bench', 'Press the jockey', 'cell 2', 'Type a length', 'around the null']) {
      expect(
        [...reached].some((text) => text.includes(name)),
        name,
      ).toBe(true);
    }
    expect(unseen).toEqual([]);
    await close();
  });
});
