import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LANGUAGES, type Language } from '../../bridge/messages/language.ts';
import { classPage } from '../../bridge/report/page/class-page.tsx';
import { RECORD_TEXTS } from '../../bridge/report/page/language.tsx';
import { RECORD_PAGES, recordPage, shortRecordPage } from '../../bridge/report/page/record-page.tsx';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { claimOf, heldAgainst } from '../../bridge/report/verify.ts';
import { launchChromium } from '../end-to-end/browser.ts';
import { fixtureRun } from './runs.ts';

/** The record in each language, as Chromium prints it. */

const NAMES = ['comparison-four-sets', 'internal-resistance', 'reference-cell', 'operator-words'];
const PAPERS = ['A4', 'Letter'] as const;
/** Little words of English that Spanish has not. */
const ENGLISH = /\b(the|and|with|of|not|is|are|this)\b/i;

const fixtures: [name: string, run: ReportedRun][] = [];
let browser: Browser;
let page: Page;
beforeAll(async () => {
  for (const name of NAMES) fixtures.push([name, await fixtureRun(`${name}.rec`)]);
  browser = await launchChromium();
  page = await browser.newPage();
});
afterAll(() => browser?.close());

/** How far down each sheet there is ink, as a share of the part between the margins; Poppler turns the sheets into pictures. */
function filled(pdf: Buffer): number[] {
  const folder = mkdtempSync(join(tmpdir(), 'sheets-'));
  try {
    writeFileSync(join(folder, 'record.pdf'), pdf);
    execFileSync('pdftoppm', ['-r', '25.4', '-gray', join(folder, 'record.pdf'), join(folder, 'sheet')]);
    const sheets = readdirSync(folder).filter((name) => name.endsWith('.pgm'));
    return sheets.sort().map((name) => filledShare(readFileSync(join(folder, name))));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Margins in mm, as the page's style sets them; below the lower one stands the page number. */
const [TOP, BOTTOM] = [15, 16];

/** Of a picture in the PGM format (Netpbm), one pixel a millimetre. */
function filledShare(picture: Buffer): number {
  const [head = '', width, height] =
    /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(picture.toString('latin1', 0, 40)) ?? [];
  const [w, h] = [Number(width), Number(height)];
  const isInked = (y: number) =>
    picture.subarray(head.length + y * w, head.length + (y + 1) * w).some((grey) => grey < 200);
  let last = h - BOTTOM - 1;
  while (last > TOP && !isInked(last)) last -= 1;
  return (last - TOP) / (h - TOP - BOTTOM);
}

const printed = (html: string): string =>
  html
    .replace(/<style>.*?<\/style>/s, '')
    .replace(/<math.*?<\/math>/gs, '')
    .replace(/<[^>]*>/g, ' ')
    .replace(/\s+/g, ' ');

const numbersIn = (html: string): string[] => (printed(html).match(/\d+(\.\d+)?/g) ?? []).sort();

const textsOf = (part: unknown, path = ''): [path: string, text: string][] =>
  typeof part === 'string'
    ? [[path, part]]
    : Object.entries(part ?? {}).flatMap(([name, inner]) => textsOf(inner, `${path}.${name}`));

const placesIn = (text: string): string[] => [...new Set(text.match(/\{\w+\}/g))].sort();

describe.each(LANGUAGES)('a record in %s', (language: Language) => {
  it.each(PAPERS)('leaves no sheet of %s but the last half empty', async (format) => {
    for (const [name, run] of fixtures) {
      await page.setContent(recordPage(run, language));
      const sheets = filled(await page.pdf({ format }));
      expect(sheets.length).toBeGreaterThan(4);
      for (const share of sheets.slice(0, -1)) expect(share, `${name}: ${sheets}`).toBeGreaterThan(0.6);
    }
  });

  it.each(PAPERS)('is short on two sheets of %s', async (format) => {
    for (const [name, run] of fixtures) {
      await page.setContent(shortRecordPage(run, language));
      expect([name, filled(await page.pdf({ format })).length]).toEqual([name, 2]);
    }
  });

  it('has each place of a text filled, and says its language', () => {
    for (const [, run] of fixtures)
      for (const make of Object.values(RECORD_PAGES)) {
        const html = make(run, language);
        expect(placesIn(printed(html))).toEqual([]);
        expect(html).toContain(`<html lang="${language}">`);
      }
  });

  it('has the places of the English texts in each of its own', () => {
    const own = new Map(textsOf(RECORD_TEXTS[language]));
    for (const [path, text] of textsOf(RECORD_TEXTS.en))
      expect([path, placesIn(own.get(path) ?? '')]).toEqual([path, placesIn(text)]);
  });

  it('is known again by its fingerprint, and the change of a figure is told', () => {
    const [, run] = fixtures[0];
    const handedIn = recordPage(run, language);
    const found = (text: string) => {
      const claim = claimOf(text);
      if (claim === null) throw new Error('a page of ours has a fingerprint');
      return heldAgainst(claim, run, []);
    };
    expect(found(handedIn).lines).toContain('the page is what the recording gives, byte for byte');
    expect(found(handedIn.replaceAll('1.15325', '1.15425')).agrees).toBe(false);
  });
});

describe('a record in Spanish', () => {
  it('holds no English, and the numbers of the English one', () => {
    for (const [, run] of fixtures)
      for (const make of Object.values(RECORD_PAGES)) {
        expect(printed(make(run, 'es')).match(ENGLISH)).toBeNull();
        expect(numbersIn(make(run, 'es'))).toEqual(numbersIn(make(run, 'en')));
      }
  });

  it('stands behind what a class found, in Spanish too', () => {
    const runs = fixtures.map(([name, run]) => ({ ...run, file: `${name}.rec` }));
    expect(printed(classPage(runs, 'es')).match(ENGLISH)).toBeNull();
    expect(numbersIn(classPage(runs, 'es'))).toEqual(numbersIn(classPage(runs, 'en')));
  });

  it('would show English to these tests: one in English does', () => {
    expect(printed(recordPage(fixtures[0][1], 'en'))).toMatch(ENGLISH);
  });
});
