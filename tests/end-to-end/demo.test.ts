import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { resultText } from '../../bridge/calc-core/rounding.ts';
import { PacedSource } from '../../bridge/session/paced-source.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { spanOf, truthOf } from '../../bridge/simulate/truth.ts';
import { addSimulated, openAt, openStage, type Stage } from './stage.ts';

let stage: Stage;

beforeAll(async () => {
  stage = await openStage();
});
afterAll(() => stage?.close());

describe('the demonstration, from simulated bench to browser', () => {
  it('shows nulls as they are found, and a result whose interval holds the truth', async () => {
    const scene = sceneWith({ seed: 3 });
    const { page, troubles, close } = await openAt(stage, '');
    const source = new PacedSource('simulated', simulateRun(scene), 60);
    const session = await addSimulated(stage, { id: 'demo', title: 'Bench 7', source });
    const ended = new Promise<void>((done) => session.onEnded(done));
    await page.waitForSelector('[data-null=n1]');
    await ended;
    await page.waitForFunction(
      () => document.querySelectorAll('[data-testid=observations] tbody tr').length === 4,
    );
    const view = session.view();
    const result = view.work.outcome?.result;
    if (result == null) throw new Error('no result');
    expect(Math.abs(result.value - truthOf(scene, spanOf(view.nulls)).ratio)).toBeLessThan(result.U);
    const shown = `E1/E2 = ${resultText(result)}`;
    await page.waitForFunction(
      (text) => document.querySelector('[data-testid=result]')?.textContent === text,
      shown,
    );
    expect(await page.textContent('[data-testid=balancing-length]')).toMatch(/\d{3}\.\d+\s*± 0\.\d+ cm/);
    expect(troubles).toEqual([]);
    await close();
  });
});
