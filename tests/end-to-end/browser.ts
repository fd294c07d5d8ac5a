import { existsSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';

/** Debian's Chromium, and a folder for screenshots. */

const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export function launchChromium(): Promise<Browser> {
  const places = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];
  const executablePath = process.env.CHROMIUM ?? places.find(existsSync);
  if (executablePath === undefined)
    throw new Error('Chromium is needed: on Debian, apt-get install chromium');
  return chromium.launch({ executablePath, args: FLAGS });
}

/** Where pictures go; kept for a person to look at where TENWIRE_SCREENSHOTS names a folder. */
export const screenshotFolder = (): string =>
  process.env.TENWIRE_SCREENSHOTS ?? mkdtempSync(join(tmpdir(), 'tenwire-pictures-'));

/** A page that fails the test on any error of its own. */
export async function openPage(
  browser: Browser,
  url: string,
  options: BrowserContextOptions = {},
): Promise<{ page: Page; troubles: string[]; close: () => Promise<void> }> {
  const context = await browser.newContext({
    locale: 'en-US',
    viewport: { width: 1280, height: 720 },
    ...options,
  });
  const page = await context.newPage();
  const troubles: string[] = [];
  page.on('pageerror', (error) => troubles.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') troubles.push(message.text());
  });
  await page.goto(url);
  return { page, troubles, close: () => context.close() };
}
