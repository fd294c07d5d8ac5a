import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { placeOnWire } from '../../bridge/bench/geometry.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
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

  it('watches only: nothing on it steers, and the bridge would not obey', async () => {
    const session = await addByHand(stage, 1);
    const { page, close } = await openAt(stage, 'show#run=by-hand');
    await page.waitForSelector('.band');
    expect(await page.getByRole('button').count()).toBe(1);
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
