import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { until } from '../until.ts';
import { addByHand, openAt, openStage, type Stage } from './stage.ts';

let stage: Stage;
let session: RunSession;
let page: Page;
let opened: Awaited<ReturnType<typeof openAt>>;

beforeAll(async () => {
  stage = await openStage();
  session = await addByHand(stage, 10);
  opened = await openAt(stage, '');
  page = opened.page;
  await page.getByRole('button', { name: 'Bench', exact: true }).click();
  await page.getByTestId('board-answer').getByText('Board SIM-07 answers').waitFor();
});
afterAll(async () => {
  await opened?.close();
  await stage?.close();
});

const field = (path: string) => page.locator(`[data-path="${path}"]`);
const known = (path: string) => page.locator(`[data-known="${path}"]`);
const savedBench = () => JSON.parse(readFileSync(join(stage.folder, 'benches', 'bench-12.json'), 'utf8'));

/** The simulated hand goes to a place and stays. */
async function handAt(row: number, scaleCm: number, pressed: boolean): Promise<void> {
  session.hand()?.order({ to: { row, scaleCm }, pressed });
  await until(() => session.hand()?.state.busy === false, 'the hand is there', 60_000);
  // A hold takes in no sample from before.
  await page.waitForTimeout(300);
}

describe('setting a bench up without editing a file', () => {
  it('describes the wire, and names the field that is missing', async () => {
    await page.getByRole('button', { name: 'nothing' }).click();
    await field('name').fill('Bench 12');
    await field('wire.rows').fill('10');
    await page.getByRole('button', { name: 'Save the bench' }).click();
    await page.getByText('The wire, Resistance: missing').waitFor();
    await field('wire.resistanceOhm').fill('19,6');
  });

  it('calibrates the position by holding the jockey at marks, and shows how far they lie off the line', async () => {
    for (const mark of [5, 50, 95]) {
      await handAt(1, mark, true);
      await page.getByLabel('Mark / cm').fill(String(mark));
      await page.getByRole('button', { name: 'Hold here' }).click();
      await page.getByRole('row', { name: new RegExp(`^${mark}`) }).waitFor();
    }
    await page.getByText(/mm per count; marks lie off the line by \d+\.\d\d mm/).waitFor();
    const rows = await page.getByTestId('points').locator('tbody tr').allTextContents();
    expect(rows).toHaveLength(3);
    await field('position.standardUncertaintyCm').fill('0.05');
  });

  it('takes the zero from the lifted jockey, the scale from the front end, and checks the direction', async () => {
    await handAt(1, 5, false);
    await page.getByRole('button', { name: 'Take the zero' }).click();
    // The simulated galvanometer's true zero, which the bench file of the scene does not know.
    await page.waitForFunction(() => {
      const input = document.querySelector<HTMLInputElement>('[data-path="galvanometer.zeroCounts"]');
      return Math.abs(Number(input?.value) - 2053.4) < 1.5;
    });
    await page.getByText('Work the scale out from the front end').click();
    await page.getByLabel('Gain').fill('100');
    await page.getByLabel('Shunt / Ω').fill('10');
    await page.getByRole('button', { name: 'Work out' }).click();
    await page.waitForFunction(
      () =>
        document.querySelector<HTMLInputElement>('[data-path="galvanometer.microampsPerCount"]')?.value ===
        '1.2207',
    );
    await field('galvanometer.microampsPerCount').fill('-0.05');
    await field('galvanometer.resistanceOhm').fill('118');
    await handAt(1, 2, true);
    await page.getByRole('button', { name: 'Check the direction' }).click();
    await page.getByText('The sign was turned').waitFor();
    expect(await field('galvanometer.microampsPerCount').inputValue()).toBe('0.05');
  });

  it('takes meters and cells, saves the file whole, and puts it in force in the run', async () => {
    await field('ammeter.milliampsPerCount').fill('0.05');
    await field('ammeter.zeroCounts').fill('10');
    await field('driver.emfV').fill('3.06');
    await field('cells.1.voltmeterV').fill('1.54');
    await field('cells.2.voltmeterV').fill('1.34');
    await page.getByRole('button', { name: 'Save the bench' }).click();
    await page.getByText('saved as bench-12.json').waitFor();
    const saved = JSON.parse(readFileSync(join(stage.folder, 'benches', 'bench-12.json'), 'utf8'));
    expect(saved).toMatchObject({
      format: 'tenwire-bench/1',
      name: 'Bench 12',
      wire: { rows: 10, rowLengthCm: 100, resistanceOhm: 19.6, zeroEnd: 'left' },
      cells: { '1': { voltmeterV: 1.54 }, '2': { voltmeterV: 1.34 } },
    });
    expect(saved.position.points).toHaveLength(3);
    expect(session.view().bench?.name).toBe('Bench 12');
  });

  it('takes what makes lengths wrong in the units people measure in, and says what the file makes of it', async () => {
    await known('wire.uniformityRelative').selectOption('known');
    await field('wire.uniformityRelative').fill('0,3');
    await page.getByText('The file holds this as 0.030 % of the whole wire').waitFor();
    await known('wire.rowSpreadRelative').selectOption('known');
    await field('wire.rowSpreadRelative').fill('0.2');
    await known('endCorrection.valueCm').selectOption('known');
    await field('endCorrection.valueCm').fill('0.35');
    await field('endCorrection.standardUncertaintyCm').fill('0.1');
    await page.getByText('On this wire 1 mΩ is worth 0.051 cm.').waitFor();
    await known('thermalEmfUv').selectOption('known');
    await field('thermalEmfUv').fill('5');
    await known('cells.2.steadyRelativePerMin').selectOption('known');
    await field('cells.2.steadyRelativePerMin').fill('0.005');
    await known('position.correlationCm').selectOption('known');
    await field('position.correlationCm').fill('20');
    await page.getByRole('button', { name: 'Save the bench' }).click();
    await expect.poll(savedBench).toMatchObject({
      wire: { uniformityRelative: 0.0003, rowSpreadRelative: 0.002 },
      endCorrection: { valueCm: 0.35, standardUncertaintyCm: 0.1 },
      thermalEmfUv: 5,
      cells: { '2': { steadyRelativePerMin: 0.00005 } },
      position: { correlationCm: 20 },
    });
    expect(await field('wire.uniformityRelative').inputValue()).toBe('0.3');
  });

  it('names a fault by the labels on the page, and takes "not known" for an answer', async () => {
    await known('wire.turnCorrectionCm.valueCm').selectOption('known');
    await field('wire.turnCorrectionCm.standardUncertaintyCm').fill('-0.05');
    await known('thermalEmfUv').selectOption('known');
    await field('thermalEmfUv').fill('five');
    await page.getByRole('button', { name: 'Save the bench' }).click();
    const text = await page.getByTestId('saved').getByText('Thermal EMFs').textContent();
    expect(text?.split('\n')).toEqual([
      '▲ Strips that join the rows, Worth: a number (found "")',
      'Strips that join the rows, Standard uncertainty: a number not below 0 (found -0.05)',
      'Thermal EMFs in the leads, Standard uncertainty: a number (found "five")',
    ]);
    expect(await field('thermalEmfUv').getAttribute('aria-invalid')).toBe('true');
    for (const path of [
      'wire.turnCorrectionCm.valueCm',
      'endCorrection.valueCm',
      'thermalEmfUv',
      'cells.2.steadyRelativePerMin',
      'position.correlationCm',
    ])
      await known(path).selectOption('not known');
    await page.getByRole('button', { name: 'Save the bench' }).click();
    await page.getByText('saved as bench-12.json').waitFor();
    const saved = savedBench();
    expect(saved.wire).not.toHaveProperty('turnCorrectionCm');
    expect(saved).not.toHaveProperty('endCorrection');
    expect(saved).not.toHaveProperty('thermalEmfUv');
    expect(saved.cells['2']).not.toHaveProperty('steadyRelativePerMin');
    expect(saved.position).not.toHaveProperty('correlationCm');
  });

  it('takes a Weston cell instead of a voltmeter reading, with its cautions', async () => {
    await field('cells.2.reference').selectOption('hamer-1972');
    expect(await field('cells.2.voltmeterV').count()).toBe(0);
    await page.getByText('Weston cells hold mercury and cadmium').first().waitFor();
    await field('cells.2.reference.emfV').fill('1,01865');
    await field('cells.2.reference.standardUncertaintyV').fill('0.00002');
    await field('cells.2.reference.weston.temperatureC').fill('21.5');
    await field('protectiveResistanceOhm').fill('4700');
    await page.getByRole('button', { name: 'Save the bench' }).click();
    await page.getByText('saved as bench-12.json').waitFor();
    const saved = JSON.parse(readFileSync(join(stage.folder, 'benches', 'bench-12.json'), 'utf8'));
    expect(saved.cells['2']).toMatchObject({
      reference: {
        emfV: 1.01865,
        standardUncertaintyV: 2e-5,
        weston: { formula: 'hamer-1972', temperatureC: 21.5 },
      },
    });
    expect(saved.cells['2'].voltmeterV).toBeUndefined();
    // in force at once: 4.7 kilohm are too little for such a cell, and the page sends nobody to the wire
    await page.getByRole('button', { name: 'Run', exact: true }).click();
    await page.locator('.next-text').getByText('100 kilohm or more').waitFor();
    await page.getByRole('button', { name: 'Result', exact: true }).click();
    await page.getByTestId('by-reference').getByText('1.018587 ± 0.000030 V').waitFor();
    await page.getByRole('button', { name: 'Bench', exact: true }).click();
  });

  it('plans a run on it', async () => {
    await page.getByRole('button', { name: 'Plan', exact: true }).click();
    await page.getByText('From what is known of Bench 12').waitFor();
    await page.getByRole('button', { name: 'Work out the plan' }).click();
    const plan = page.getByTestId('plan');
    await plan.getByText('Expected U').waitFor();
    expect(await plan.locator('tbody tr').first().textContent()).toContain('row 10');
    expect(opened.troubles).toEqual([]);
  });
});
