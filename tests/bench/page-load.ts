import type { Browser, CDPSession, Page } from 'playwright-core';
import { type RunningServer, serve } from '../../bridge/serve/server.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { builtPath } from '../built.ts';
import { launchChromium, openPage } from '../end-to-end/browser.ts';
import { handDrivenSession } from '../serve/hand-driven-session.ts';
import { openBarePage, type PlotSizes, SHOWN } from './bare-page.ts';

/**
 * The page under load, beside a bare page of ws and uPlot alone that is fed the same readings in the same run:
 * how busy the main thread is, how long a reading takes from the bridge to the picture, and whether the heap grows.
 */

const RATE_HZ = 200;
const MEASURE_MS = 6000;

/** The reading of a jockey that creeps over the null. */
function readingAt(index: number) {
  const atS = index / RATE_HZ;
  const lengthCm = 740 + index * 0.00008;
  const currentUa = -9 * (lengthCm - 743) + 0.1 * Math.sin(index * 12.9898);
  return { atS, lengthCm, scaleCm: lengthCm - 700, currentUa };
}

interface Fed {
  page: Page;
  /** Sends the next reading. */
  feed(index: number): void;
  close(): Promise<void>;
}

async function bare(browser: Browser, sizes: PlotSizes): Promise<Fed> {
  const { page, send, close } = await openBarePage(browser, { sizes });
  return {
    page,
    feed: (index) => {
      const { atS, lengthCm, currentUa } = readingAt(index);
      send([[atS, lengthCm, currentUa]]);
    },
    close,
  };
}

async function ours(browser: Browser, folder: string): Promise<Fed> {
  const sessions = sessionRegistry();
  const bench = handDrivenSession();
  sessions.add(bench.session);
  const outcome = await serve({ sessions, pageFolder: folder, port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  const server: RunningServer = outcome.server;
  const { page, close } = await openPage(browser, 'about:blank');
  await page.addInitScript(() => localStorage.setItem('tenwire.cautions', 'read'));
  await page.goto(server.url);
  await page.waitForSelector('[data-testid=balancing-length]');
  return {
    page,
    feed: (index) => bench.read(readingAt(index)),
    close: async () => {
      await close();
      await server.close();
    },
  };
}

/** Feeds at the board's rate for a while; `from` counts on. Answers the next index. */
async function feedFor(fed: Fed, from: number, ms: number, times = 1): Promise<number> {
  const started = performance.now();
  let index = from;
  while (performance.now() - started < ms) {
    const due = from + Math.floor(((performance.now() - started) * RATE_HZ * times) / 1000);
    while (index < due) {
      fed.feed(index);
      index += 1;
    }
    await new Promise((resolve) => setTimeout(resolve, 4));
  }
  return index;
}

async function metrics(cdp: CDPSession): Promise<Record<string, number>> {
  const { metrics: all } = await cdp.send('Performance.getMetrics');
  return Object.fromEntries(all.map(({ name, value }) => [name, value]));
}

/** Share of the time that the main thread works, with 20,000 points shown. */
async function busyShare(fed: Fed): Promise<number> {
  for (let index = 0; index < SHOWN; index += 1) {
    fed.feed(index);
    if (index % 500 === 0) await new Promise((resolve) => setTimeout(resolve, 10));
  }
  await feedFor(fed, SHOWN, 2000);
  const cdp = await fed.page.context().newCDPSession(fed.page);
  await cdp.send('Performance.enable');
  const before = await metrics(cdp);
  await feedFor(fed, SHOWN + 400, MEASURE_MS);
  const after = await metrics(cdp);
  return (after.TaskDuration - before.TaskDuration) / (after.Timestamp - before.Timestamp);
}

const heapOf = async (cdp: CDPSession): Promise<number> => {
  await cdp.send('HeapProfiler.collectGarbage');
  return (await metrics(cdp)).JSHeapUsedSize;
};

const SESSION_S = 7200;
const TIMES = 50;

/** Heap after a tenth of a two-hour session, and after all of it, fed 50 times faster. */
async function heapGrowth(fed: Fed): Promise<[earlyBytes: number, lateBytes: number]> {
  const cdp = await fed.page.context().newCDPSession(fed.page);
  await cdp.send('Performance.enable');
  await cdp.send('HeapProfiler.enable');
  const wholeMs = (SESSION_S * 1000) / TIMES;
  const next = await feedFor(fed, 0, wholeMs / 10, TIMES);
  const early = await heapOf(cdp);
  await feedFor(fed, next, (wholeMs * 9) / 10, TIMES);
  return [early, await heapOf(cdp)];
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** Width and height of our two plots: the bare page draws as large ones. */
const plotSizes = (page: Page): Promise<PlotSizes> =>
  page.evaluate(() => {
    const sizeOf = (selector: string) => {
      const { clientWidth, clientHeight } = document.querySelector(selector) as HTMLElement;
      return [clientWidth, clientHeight] as [number, number];
    };
    return [sizeOf('.plot-length'), sizeOf('.plot-time')] as PlotSizes;
  });

const ROUNDS = 3;
const median = (values: number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];

/** Lines for `npm run bench -- page`: both pages in turns, so that a busy machine troubles them alike. */
export async function pageLoad(): Promise<string[]> {
  const browser = await launchChromium();
  try {
    const shares: { ours: number; bare: number }[] = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      const oursFed = await ours(browser, builtPath('web'));
      const sizes = await plotSizes(oursFed.page);
      const oursBusy = await busyShare(oursFed);
      await oursFed.close();
      const bareFed = await bare(browser, sizes);
      shares.push({ ours: oursBusy, bare: await busyShare(bareFed) });
      await bareFed.close();
    }
    const ratio = median(shares.map((share) => share.ours / share.bare));
    const [oursBusy, bareBusy] = [median(shares.map((s) => s.ours)), median(shares.map((s) => s.bare))];
    return [
      `main thread busy ${percent(oursBusy)}, bare uPlot page ${percent(bareBusy)}: ${ratio.toFixed(2)} times (at most 1.5; median of ${ROUNDS} turns)`,
    ];
  } finally {
    await browser.close();
  }
}

/** Lines for `npm run bench -- heap`. */
export async function pageHeap(): Promise<string[]> {
  const browser = await launchChromium();
  try {
    const fed = await ours(browser, builtPath('web'));
    const [early, late] = await heapGrowth(fed);
    await fed.close();
    return [
      `heap after ${SESSION_S / 10} s of board time ${(early / 1e6).toFixed(1)} MB, after ${SESSION_S} s ${(late / 1e6).toFixed(1)} MB`,
    ];
  } finally {
    await browser.close();
  }
}
