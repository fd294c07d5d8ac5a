import { join } from 'node:path';
import type { Page } from 'playwright-core';
import decodeQR from 'qr/decode.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { placeOnWire } from '../../bridge/bench/geometry.ts';
import { allowRemoteAccess, linksFor } from '../../bridge/serve/remote-access.ts';
import { serve } from '../../bridge/serve/server.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { builtPath } from '../built.ts';
import { contrastOf } from '../web/contrast.ts';
import { openPage, screenshotFolder } from './browser.ts';
import { addByHand, addReplay, openAt, openStage, type Stage } from './stage.ts';

const SWITCHES = { cell: 1, keyClosed: true, protect: true, rheostatOhm: 4.1 } as const;

let stage: Stage;

beforeAll(async () => {
  stage = await openStage();
  await addReplay(stage, 150);
});
afterAll(() => stage?.close());

describe('the view for the room', () => {
  it('shows the balancing length at least an eighth of the height of a 1280x720 screen', async () => {
    const { page, troubles, close } = await openAt(stage, 'show');
    const figure = page.getByTestId('balancing-length');
    await figure.waitFor();
    const { digitHeight, width, scroll } = await page.evaluate(() => {
      const shown = document.querySelector('[data-testid=balancing-length]') as HTMLElement;
      const context = document.createElement('canvas').getContext('2d') as CanvasRenderingContext2D;
      const style = getComputedStyle(shown);
      context.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      const digit = context.measureText('8');
      return {
        digitHeight: digit.actualBoundingBoxAscent + digit.actualBoundingBoxDescent,
        width: shown.getBoundingClientRect().right,
        scroll: document.documentElement.scrollHeight,
      };
    });
    expect(digitHeight).toBeGreaterThanOrEqual(720 / 8);
    expect(width).toBeLessThanOrEqual(1280);
    expect(scroll).toBeLessThanOrEqual(720);
    expect(troubles).toEqual([]);
    await close();
  });

  it('shows what a page that steers chooses', async () => {
    const room = await openAt(stage, 'show#run=replay');
    const desk = await openAt(stage, '#run=replay');
    for (const [choice, there] of [
      ['plot', '.show .plot-length'],
      ['table', '.show-table table'],
      ['result', '.show-outcome'],
      ['nothing', '.show-words'],
      ['deflection', '.band'],
    ]) {
      await desk.page.getByLabel('The room sees').selectOption(choice);
      await room.page.waitForSelector(there);
      await room.page.waitForTimeout(300);
      await picture(room.page, `show-${choice}`);
      const overflow = await room.page.evaluate(() => document.documentElement.scrollHeight - innerHeight);
      expect(overflow, choice).toBeLessThanOrEqual(0);
      for (const screen of SCREENS) {
        await room.page.setViewportSize(screen);
        expect(await smallestLetters(room.page), `${choice}, ${screen.height}`).toBeGreaterThanOrEqual(
          screen.height / 28,
        );
      }
    }
    expect([...room.troubles, ...desk.troubles]).toEqual([]);
    await desk.page.getByLabel('The room sees').selectOption('by itself');
    await Promise.all([room.close(), desk.close()]);
  });

  it('watches only: nothing on it steers, and the bridge would not obey', async () => {
    const session = await addByHand(stage, 1);
    const { page, close } = await openAt(stage, 'show#run=by-hand');
    await page.waitForSelector('.band');
    expect(await page.getByRole('button').allTextContents()).toEqual([
      'Tone is off: turn it on',
      'Full screen',
    ]);
    const events = session.view().events.length;
    const answer = await page.evaluate(
      () =>
        new Promise<string>((resolve) => {
          const socket = new WebSocket(`ws://${location.host}/live?role=watch`);
          socket.onopen = () => {
            socket.send(JSON.stringify({ type: 'open', session: 'by-hand' }));
            socket.send(
              JSON.stringify({ type: 'event', request: 1, event: { kind: 'note', text: 'hello' } }),
            );
          };
          socket.onmessage = (message) => {
            const heard = JSON.parse(message.data);
            if (heard.type === 'answer') resolve(JSON.stringify(heard));
          };
        }),
    );
    expect(JSON.parse(answer)).toMatchObject({ ok: false });
    expect(session.view().events).toHaveLength(events);
    await close();
  });

  it('shows a crossing at once, in a shape of its own, and says which side the jockey is on', async () => {
    const hand = stage.sessions.get('by-hand')?.hand?.();
    const { page, troubles, close } = await openAt(stage, 'show#run=by-hand');
    await page.waitForSelector('.band');
    const { lengthCm } = { lengthCm: trueLengthCm(sceneWith({}), SWITCHES) ?? Number.NaN };
    const { row, scaleCm } = placeOnWire(sceneWith({}).bench.wire, lengthCm);
    hand?.order({ switches: SWITCHES, pressed: false });
    hand?.order({ to: { row, scaleCm: scaleCm - 3 } });
    await page
      .getByTestId('jockey')
      .filter({ hasText: `row ${row}` })
      .waitFor();
    hand?.order({ to: { row, scaleCm: scaleCm - 3 }, pressed: true });
    await page.getByTestId('side').filter({ hasText: 'too far towards' }).waitFor();
    const before = await page.getByTestId('side').textContent();
    hand?.order({ to: { row, scaleCm: scaleCm + 3 } });
    const crossing = page.getByTestId('crossing');
    await crossing.waitFor();
    expect(await page.locator('.show-crossed').count()).toBe(1);
    await picture(page, 'show-crossing');
    expect(await crossing.getAttribute('class')).toContain('show-coarse');
    expect(
      Math.abs(Number(/≈ (\d+)/.exec((await crossing.textContent()) ?? '')?.[1]) - lengthCm),
    ).toBeLessThan(4);
    await page.waitForFunction(
      (was) => document.querySelector('.band-words')?.textContent?.slice(0, 17) !== was,
      before?.slice(0, 17),
    );
    expect(troubles).toEqual([]);
    await close();
  });

  it('shows between which touches the null lies, and its band stays visible where no motion is wanted', async () => {
    const hand = stage.sessions.get('by-hand')?.hand?.();
    const { page, troubles, close } = await openAt(stage, 'show#run=by-hand', { reducedMotion: 'reduce' });
    await page.waitForSelector('.band');
    const lengthCm = trueLengthCm(sceneWith({}), SWITCHES) ?? Number.NaN;
    const { row, scaleCm } = placeOnWire(sceneWith({}).bench.wire, lengthCm);
    const tap = async (cm: number) => {
      hand?.order({ to: { row, scaleCm: cm }, pressed: false });
      await page
        .getByTestId('jockey')
        .filter({ hasText: `row ${row}, ${cm.toFixed(1)}` })
        .waitFor();
      hand?.order({ pressed: true });
      await page.getByTestId('side').filter({ hasText: 'too far towards' }).waitFor();
    };
    hand?.order({ switches: SWITCHES, pressed: false });
    await tap(Math.round(scaleCm - 3));
    hand?.order({ pressed: false });
    await page.getByTestId('side').filter({ hasText: 'lifted' }).waitFor();
    await tap(Math.round(scaleCm + 3));
    const crossing = page.getByTestId('crossing');
    expect(await crossing.textContent()).toContain('the null lies between');
    const said = await crossing.locator('.show-figure').textContent();
    const [fromCm, toCm] = said?.match(/\d+(\.\d)?(?= [–c])/g)?.map(Number) ?? [];
    expect(fromCm).toBeLessThan(lengthCm);
    expect(toCm).toBeGreaterThan(lengthCm);
    expect(toCm - fromCm).toBeLessThan(9);
    await picture(page, 'show-taps');
    const fills = await page.evaluate(() =>
      ['.show-crossed .band-ground', '.show-crossed .band-deflection'].map(
        (one) => getComputedStyle(document.querySelector(one) as Element).fill,
      ),
    );
    expect(contrastOf(fills[0], fills[1])).toBeGreaterThanOrEqual(3);
    hand?.order({ pressed: false });
    expect(troubles).toEqual([]);
    await close();
  });

  it('is opened with the token that watches, on the projector and by the code to scan', async () => {
    const listen = allowRemoteAccess('127.0.0.1');
    const outcome = await serve({
      sessions: stage.sessions,
      pageFolder: builtPath('web'),
      port: 0,
      listen,
    });
    if (!outcome.ok) throw new Error(outcome.text);
    const links = linksFor(listen, outcome.server.port);
    const { page, troubles, close } = await openPage(stage.browser, links.steer);
    const link = page.getByRole('link', { name: 'View for the room' });
    await page.getByRole('button', { name: 'Code to scan' }).click();
    const href = (await link.getAttribute('href')) ?? '';
    expect(href).toContain(listen.tokens.watch);
    expect(href).not.toContain(listen.tokens.steer);
    await picture(page, 'watch-code');
    const code = await page.locator('.watch-code svg').screenshot();
    expect(decodeQR(await pixelsOf(page, code))).toBe(links.watch);
    expect(troubles).toEqual([]);
    await close();
    await outcome.server.close();
  });

  it('is reached by a link that stays where it is while the run is still on its way', async () => {
    const context = await stage.browser.newContext({ viewport: { width: 1280, height: 720 } });
    const page = await context.newPage();
    let release = () => {};
    const released = new Promise<void>((resolve) => {
      release = resolve;
    });
    await page.routeWebSocket(/live/, (socket) => {
      const bridge = socket.connectToServer();
      bridge.onMessage(async (message) => {
        if (String(message).startsWith('{"type":"frame"')) await released;
        socket.send(message);
      });
    });
    await page.goto(`${stage.server.url}#run=replay`);
    const link = page.getByRole('link', { name: 'View for the room' });
    const before = await link.boundingBox({ timeout: 5000 });
    const known = page.locator('.links').filter({ hasText: 'replay of' });
    expect(await known.count()).toBe(0);
    release();
    await known.waitFor();
    // A press that begins on a link and ends beside it does nothing.
    expect((await link.boundingBox())?.x).toBe(before?.x);
    await context.close();
  });

  it('moves its band with the deflection', async () => {
    const session = stage.sessions.get('by-hand');
    const { page, close } = await openAt(stage, 'show#run=by-hand');
    await page.waitForSelector('.band');
    session?.hand?.()?.order({ to: { row: 1, scaleCm: 50 }, pressed: true });
    await page.waitForFunction(() => {
      return Number(document.querySelector('.band-deflection')?.getAttribute('width')) > 100;
    });
    await page.getByRole('button', { name: 'Tone is off' }).click();
    await page.getByRole('button', { name: 'Tone is on' }).waitFor();
    await close();
  });
});

/** The last is the first again, in which pictures are taken. */
const SCREENS = [
  { width: 1920, height: 1080 },
  { width: 1280, height: 800 },
  { width: 1280, height: 720 },
];

/** Font size in pixels of the smallest text on the page, drawings as they are scaled, and what is written on a plot. */
const smallestLetters = (page: Page): Promise<number> =>
  page.evaluate(() => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const plot = document.querySelector('.plot');
    let smallest =
      plot === null ? Number.POSITIVE_INFINITY : Number.parseFloat(getComputedStyle(plot).fontSize);
    while (walker.nextNode()) {
      const parent = walker.currentNode.parentElement;
      if (parent === null || !parent.checkVisibility()) continue;
      if (parent.closest('.visually-hidden, script, style') !== null) continue;
      if (walker.currentNode.textContent?.trim() === '') continue;
      const scale = parent instanceof SVGGraphicsElement ? (parent.getScreenCTM()?.a ?? 1) : 1;
      smallest = Math.min(smallest, scale * Number.parseFloat(getComputedStyle(parent).fontSize));
    }
    return smallest;
  });

const picture = (page: Page, name: string) =>
  page.screenshot({ path: join(screenshotFolder(), `${name}-1280.jpg`), type: 'jpeg', quality: 72 });

/** A picture's pixels, red, green, blue and opacity, worked out by the browser. */
async function pixelsOf(page: Page, png: Buffer) {
  const { width, height, data } = await page.evaluate(async (base64) => {
    const picture = new Image();
    picture.src = `data:image/png;base64,${base64}`;
    await picture.decode();
    const { width, height } = picture;
    const context = new OffscreenCanvas(width, height).getContext('2d') as OffscreenCanvasRenderingContext2D;
    context.drawImage(picture, 0, 0);
    return { width, height, data: [...context.getImageData(0, 0, width, height).data] };
  }, png.toString('base64'));
  return { width, height, data: Uint8Array.from(data) };
}
