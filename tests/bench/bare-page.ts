import { readFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { WebSocketServer } from 'ws';
import { openPage } from '../end-to-end/browser.ts';

/** What our page is measured against: nothing but a socket and two plots of uPlot. */

export const SHOWN = 20_000;

/** Width and height in CSS pixels of the plot against length and of the one against time. */
export type PlotSizes = [along: [number, number], time: [number, number]];

const USUAL: PlotSizes = [
  [860, 300],
  [860, 200],
];

/** Deflection against length and against time. */
const barePage = ([
  alongSize,
  timeSize,
]: PlotSizes): string => `<!doctype html><link rel="stylesheet" href="/uplot.css"><div id="a"></div><div id="b"></div>
<script type="module">
import uPlot from '/uplot.js';
const shown = ${SHOWN};
const along = [[], []];
const time = [[], []];
const options = ([width, height]) => ({ width, height: height - 20, cursor: { show: false }, legend: { show: false },
  scales: { x: { time: false } }, series: [{}, { stroke: 'navy', points: { show: false } }] });
const a = new uPlot(options([${alongSize}]), along, document.getElementById('a'));
const b = new uPlot(options([${timeSize}]), time, document.getElementById('b'));
let waiting = [];
let asked = false;
const draw = () => {
  asked = false;
  for (const [tS, length, current] of waiting) {
    time[0].push(tS); time[1].push(current); along[0].push(length); along[1].push(current);
  }
  waiting = [];
  for (const data of [along, time]) if (data[0].length > shown) for (const column of data) column.splice(0, column.length - shown);
  a.setData(along);
  b.setData(time);
  globalThis.painted = time[0].at(-1);
};
const socket = new WebSocket('ws://' + location.host);
socket.onmessage = (message) => {
  waiting.push(...JSON.parse(message.data));
  if (!asked) { asked = true; requestAnimationFrame(draw); }
};
globalThis.ready = true;
</script>`;

/** Seconds, length in cm, current in microamperes. */
export type BareReading = [tS: number, lengthCm: number, currentUa: number];

export interface BarePage {
  page: Page;
  send(readings: BareReading[]): void;
  close(): Promise<void>;
}

/** Opens it in a browser; `prepare` runs in the page before anything of its own. */
export async function openBarePage(
  browser: Browser,
  { prepare = '', sizes = USUAL }: { prepare?: string; sizes?: PlotSizes } = {},
): Promise<BarePage> {
  const uplot = join('node_modules', 'uplot', 'dist');
  const files: Record<string, [string, string]> = {
    '/uplot.js': ['text/javascript', readFileSync(join(uplot, 'uPlot.esm.js'), 'utf8')],
    '/uplot.css': ['text/css', readFileSync(join(uplot, 'uPlot.min.css'), 'utf8')],
  };
  const http = createServer((request, response) => {
    const [type, text] = files[request.url ?? ''] ?? ['text/html', barePage(sizes)];
    response.writeHead(200, { 'Content-Type': type }).end(text);
  });
  const sockets = new WebSocketServer({ server: http });
  await new Promise<void>((listening) => http.listen(0, '127.0.0.1', listening));
  const { page, close } = await openPage(browser, 'about:blank');
  if (prepare !== '') await page.addInitScript(prepare);
  await page.goto(`http://127.0.0.1:${(http.address() as AddressInfo).port}/`);
  await page.waitForFunction(() => 'ready' in globalThis);
  return {
    page,
    send: (readings) => {
      const text = JSON.stringify(readings);
      for (const socket of sockets.clients) socket.send(text);
    },
    close: async () => {
      await close();
      for (const socket of sockets.clients) socket.terminate();
      http.close();
    },
  };
}
