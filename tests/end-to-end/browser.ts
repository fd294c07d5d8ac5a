import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { build } from 'vite';

/** Debian's Chromium, the page built afresh, and a folder for screenshots. */

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

/**
 * Builds web/ as it is shipped into a folder of its own, so that no stale build is tested. Vitest's own NODE_ENV would leave code in
 * the page that nobody is served.
 */
export async function buildPage(): Promise<{ folder: string; remove: () => void }> {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-page-'));
  const { NODE_ENV } = process.env;
  process.env.NODE_ENV = 'production';
  try {
    await build({
      configFile: 'vite.config.mjs',
      logLevel: 'error',
      build: { outDir: folder, emptyOutDir: true },
    });
  } finally {
    process.env.NODE_ENV = NODE_ENV;
  }
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
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
