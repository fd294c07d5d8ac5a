import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { message } from '../../bridge/messages/catalogue.ts';
import { handDrivenSession } from '../serve/hand-driven-session.ts';
import { sampleNull } from '../serve/sample-view.ts';
import { addByHand, addReplay, openAt, openStage, type Stage } from './stage.ts';

/** What the bridge says, on a page in Spanish. */

const READER = { locale: 'es-ES' };
/** Little words of English that Spanish has not. */
const ENGLISH = /\b(the|and|with|of|not|is|are|this)\b/i;

let stage: Stage;
beforeAll(async () => {
  stage = await openStage();
  await addReplay(stage, 500);
  await addByHand(stage, 10);
});
afterAll(() => stage?.close());

/** Every piece of text on the page, folded parts and labels for those who listen too. */
const textsOf = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const root = document.getElementById('root')!;
    const labelled = root.querySelectorAll('[aria-label], [title], [placeholder]');
    const texts = [...labelled].flatMap((one) =>
      ['aria-label', 'title', 'placeholder'].map((name) => one.getAttribute(name) ?? ''),
    );
    const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    // Names of people, which nobody translates, are marked as HTML has it.
    while (walker.nextNode())
      if (walker.currentNode.parentElement?.closest('[translate=no]') == null)
        texts.push(walker.currentNode.textContent ?? '');
    return texts;
  });

const inEnglish = async (page: Page) => (await textsOf(page)).filter((text) => ENGLISH.test(text));

describe('a page in Spanish', () => {
  it.each([
    ['#run=replay', '[data-testid=result]'],
    ['#run=by-hand', '.hand'],
    ['#tab=plan&run=replay', '.setup form'],
    ['#tab=result&run=replay', '.budget'],
    ['#tab=recordings&run=replay', '.recording-table'],
    ['#tab=bench&run=by-hand', '.counts'],
    ['show#run=replay', '.show-status'],
  ])('holds no English: %s', async (address, ready) => {
    const { page, close } = await openAt(stage, address, READER);
    await page.waitForSelector(ready);
    expect(await inEnglish(page)).toEqual([]);
    await close();
  });

  it('would show English to this test: one in English does', async () => {
    const { page, close } = await openAt(stage, '#tab=result&run=replay');
    await page.waitForSelector('.budget');
    expect((await inEnglish(page)).length).toBeGreaterThan(5);
    await close();
  });

  it('says findings, what to put right, and why a null does not count', async () => {
    const bench = handDrivenSession();
    const reversed = message('same-sign', {
      cell: 1,
      side: '-',
      causes: [message('cell-back'), message('leads-swapped')],
    });
    bench.change({
      findings: [{ code: 'cell-reversed', severity: 'stop', set: 1, cell: 1, ...reversed }],
      nulls: [sampleNull({ id: 'n1', lengthCm: 743.21, used: false, whyNot: message('null-protected') })],
    });
    stage.sessions.add(bench.session);
    const { page, close } = await openAt(stage, `#run=${bench.session.summary.id}`, READER);
    const sentence =
      'La pila 1 desvía a - en ambos extremos del hilo: esta pila está invertida; o bien los bornes del galvanómetro están cambiados respecto al archivo de banco.';
    await page.getByText('Pila invertida').waitFor();
    expect(await page.textContent('[data-testid=findings]')).toContain(sentence);
    expect(await page.textContent('.next-text')).toBe(sentence);
    expect(await page.textContent('[data-null=n1]')).toContain('con la resistencia de protección puesta');
    await close();
  });

  it('opens a record in Spanish', async () => {
    const { page, close } = await openAt(stage, '#tab=result&run=replay', READER);
    const opened = page.waitForEvent('popup');
    await page.getByRole('button', { name: 'El informe en dos hojas' }).click();
    const record = await opened;
    await record.getByRole('heading', { name: 'Fuentes de error' }).waitFor();
    expect(await record.locator('html').getAttribute('lang')).toBe('es');
    await close();
  });

  it('says what the bridge refuses', async () => {
    const { page, close } = await openAt(stage, '#tab=plan&run=replay', READER);
    await page.waitForSelector('.setup form');
    await page.locator('.setup input').nth(0).fill('30');
    await page.getByRole('button', { name: 'Calcular el plan' }).click();
    await page.getByText('el reóstato debe ir de menos a más').waitFor();
    await close();
  });
});
