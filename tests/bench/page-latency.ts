import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { SerialSource } from '../../bridge/serial/serial-source.ts';
import { serve } from '../../bridge/serve/server.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { openSession } from '../../bridge/session/open-session.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { encodeChannel, encodeHello, encodeSample } from '../../firmware-protocol/encode.ts';
import { builtPath } from '../built.ts';
import { launchChromium, openPage } from '../end-to-end/browser.ts';
import { type Pty, plugIn, temporaryFolder } from '../serial/pty.ts';
import { openBarePage } from './bare-page.ts';

/**
 * From a board's line at the serial port (a real pseudo-terminal) to the picture that shows it, every reading: ours,
 * with recording and fold between, beside the same port read into a bare page of ws and uPlot.
 */

const RATE_HZ = 200;
const MEASURE_S = 20;
const WARM_S = 3;

/** In the page: notes when the frame has been painted in which each reading was drawn. */
const NOTE_PAINTED = `
globalThis.paintedAt = [];
globalThis.crossedAt = [];
const times = (data) => {
  const heard = JSON.parse(data);
  if (Array.isArray(heard)) return heard.map((reading) => reading[0]);
  return heard.points === undefined ? [] : heard.points.tS;
};
globalThis.WebSocket = class extends WebSocket {
  constructor(...given) {
    super(...given);
    this.addEventListener('message', ({ data }) => {
      const seen = times(data);
      const crossing = JSON.parse(data).crossing;
      if (seen.length > 0) requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => {
          const now = performance.timeOrigin + performance.now();
          for (const tS of seen) paintedAt.push([tS, now]);
          if (crossing !== undefined && document.querySelector('.show-crossed')) crossedAt.push([crossing.atS, now]);
        };
        port2.postMessage(0);
      });
    });
  }
};
localStorage.setItem('tenwire.cautions', 'read');`;

const introduction = [
  encodeHello({ board: 'bench', firmware: 'bench', rateHz: RATE_HZ, senses: 0x1f }),
  ...(['gal', 'pos', 'drv'] as const).map((channel, index) =>
    encodeChannel({ index, channel, minCount: 0, maxCount: 4095 }),
  ),
].join('\n');

const TICK_US = 1_000_000 / RATE_HZ;

const sampleLine = (index: number): string =>
  encodeSample({
    seq: index % 65_536,
    tUs: index * TICK_US,
    gal: 2048 + Math.round(200 * Math.sin(index / 60)),
    pos: 1000 + Math.round(200 * Math.sin(index / 60)),
    drv: 2000,
    row: 7,
    // The noise of a lifted jockey is learnt first.
    flags: index < (WARM_S * RATE_HZ) / 2 ? 0x02 : 0x01 | 0x02,
  });

/** Sends samples on the board's own beat and notes when each left. */
async function sendSamples(pty: Pty, sentAt: number[]): Promise<void> {
  const started = performance.now();
  while (sentAt.length < (WARM_S + MEASURE_S) * RATE_HZ) {
    const due = Math.floor(((performance.now() - started) * RATE_HZ) / 1000);
    while (sentAt.length < due) {
      pty.send(`${sampleLine(sentAt.length)}\n`);
      sentAt.push(performance.timeOrigin + performance.now());
    }
    await new Promise((resolve) => setTimeout(resolve, 1));
  }
  await new Promise((resolve) => setTimeout(resolve, 500));
}

/** Milliseconds from port to picture after the warm-up: of every reading, and of every crossing where the page tells them. */
interface Latencies {
  readings: number[];
  crossings: number[];
}

async function latencies(page: Page, pty: Pty): Promise<Latencies> {
  const sentAt: number[] = [];
  pty.send(`${introduction}\n`);
  await sendSamples(pty, sentAt);
  const since = (painted: [number, number][]) => delaysOf(painted, sentAt);
  return {
    readings: since(await page.evaluate('paintedAt')),
    crossings: since(await page.evaluate('crossedAt')),
  };
}

function delaysOf(painted: readonly [number, number][], sentAt: readonly number[]): number[] {
  const delays = painted.map(([tS, at]) => ({ tS, ms: at - sentAt[Math.round(tS * RATE_HZ)] }));
  return delays.filter(({ tS }) => tS > WARM_S).map(({ ms }) => ms);
}

async function ours(browser: Browser, address: '' | 'show'): Promise<Latencies> {
  const folder = temporaryFolder();
  const pty = await plugIn(join(folder, 'port'));
  const sessions = sessionRegistry();
  const opened = await openSession({
    id: 'bench',
    title: 'bench',
    kind: 'live',
    source: new SerialSource({ path: pty.path, baudRate: 115_200, rateHz: null }),
    path: join(folder, 'bench.rec'),
    begin: 'create',
    opening: [{ kind: 'bench', bench: INVENTED_BENCH }],
    makeRun: await runMaker(),
  });
  if (!opened.ok) throw new Error(opened.text);
  sessions.add(opened.session);
  const outcome = await serve({ sessions, pageFolder: builtPath('web'), port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  const { page, close } = await openPage(browser, 'about:blank');
  await page.addInitScript(NOTE_PAINTED);
  await page.goto(outcome.server.url + address);
  await page.waitForSelector(address === 'show' ? '.band' : '.labels');
  const measured = await latencies(page, pty);
  await close();
  await outcome.server.close();
  await opened.session.close();
  await pty.unplug();
  rmSync(folder, { recursive: true, force: true });
  return measured;
}

async function bare(browser: Browser): Promise<Latencies> {
  const folder = temporaryFolder();
  const pty = await plugIn(join(folder, 'port'));
  const { page, send, close } = await openBarePage(browser, { prepare: NOTE_PAINTED });
  const source = new SerialSource({ path: pty.path, baudRate: 115_200, rateHz: null });
  await source.start({
    lines: (lines) => {
      const frames = lines.map(decodeLine).filter((frame) => frame.type === 'S');
      if (frames.length > 0) send(frames.map((frame) => [frame.tUs * 1e-6, frame.pos ?? 0, frame.gal ?? 0]));
    },
    sent: () => {},
    records: () => {},
    link: () => {},
    ended: () => {},
  });
  const measured = await latencies(page, pty);
  await close();
  await source.close();
  await pty.unplug();
  rmSync(folder, { recursive: true, force: true });
  return measured;
}

function quantiles(values: number[]): string {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return `p50 ${at(0.5).toFixed(1)} ms, p99 ${at(0.99).toFixed(1)} ms (${values.length})`;
}

/** Lines for `npm run bench -- latency`. */
export async function pageLatency(): Promise<string[]> {
  const browser = await launchChromium();
  try {
    const bareMs = await bare(browser);
    const oursMs = await ours(browser, '');
    const roomMs = await ours(browser, 'show');
    return [
      `from the serial port to the picture: ${quantiles(oursMs.readings)}; p99 at most 60 ms on an idle machine`,
      `a crossing of the null, to the picture of the room: ${quantiles(roomMs.crossings)}`,
      `the same port into a bare ws and uPlot page: ${quantiles(bareMs.readings)}`,
    ];
  } finally {
    await browser.close();
  }
}
