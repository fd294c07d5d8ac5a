import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { addByHand, addReplay, openAt, openStage, type Stage } from './stage.ts';

let stage: Stage;

beforeAll(async () => {
  stage = await openStage();
  await addReplay(stage, 150);
});
afterAll(() => stage?.close());

describe('the view for the room', () => {
  it('shows the balancing length at least a sixth of the height of a 1280x720 screen', async () => {
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
    expect(digitHeight).toBeGreaterThanOrEqual(720 / 6);
    expect(width).toBeLessThanOrEqual(1280);
    expect(scroll).toBeLessThanOrEqual(720);
    expect(troubles).toEqual([]);
    await close();
  });

  it('watches only: nothing on it steers, and the bridge would not obey', async () => {
    const session = await addByHand(stage, 1);
    const { page, close } = await openAt(stage, 'show#run=by-hand');
    await page.waitForSelector('.pointer');
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

  it('moves its pointer with the deflection', async () => {
    const session = stage.sessions.get('by-hand');
    const { page, close } = await openAt(stage, 'show#run=by-hand');
    await page.waitForSelector('.pointer');
    session?.hand?.()?.order({ to: { row: 1, scaleCm: 50 }, pressed: true });
    await page.waitForFunction(() => {
      const moved = document.querySelector('.pointer-needle')?.getAttribute('transform') ?? '';
      return Number(/\(([\d.]+)/.exec(moved)?.[1]) > 700;
    });
    await page.getByRole('button', { name: 'tone off' }).click();
    await page.getByRole('button', { name: 'tone on' }).waitFor();
    await close();
  });
});
