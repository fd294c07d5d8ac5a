import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FIXTURE, openAt, openStage, type Stage } from './stage.ts';

let stage: Stage;
let page: Page;
let opened: Awaited<ReturnType<typeof openAt>>;

beforeAll(async () => {
  stage = await openStage();
  opened = await openAt(stage, '#tab=recordings');
  page = opened.page;
});
afterAll(async () => {
  await opened?.close();
  await stage?.close();
});

/** Drops a file on the page, as a hand does. */
async function drop(name: string, text: string): Promise<void> {
  const data = await page.evaluateHandle(
    ([fileName, content]) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File([content], fileName));
      return transfer;
    },
    [name, text] as const,
  );
  await page.dispatchEvent('.drop-zone', 'drop', { dataTransfer: data });
}

describe('recordings', () => {
  it('are listed with whose they are and what came of them, sorted and filtered', async () => {
    const row = page.getByRole('row', { name: FIXTURE });
    await row.getByText(/^1\.15\d+ ± 0\.000\d+$/).waitFor();
    expect(await row.textContent()).toContain('simulated student (invented)');
    await page
      .getByRole('row', { name: 'operator-words.rec' })
      .getByText(/^1\.4577 ± /)
      .waitFor();
    const files = () => page.locator('.recording-table tbody th').allTextContents();
    await page.getByRole('columnheader', { name: 'Result' }).getByRole('button').click();
    expect((await files()).indexOf(FIXTURE)).toBeLessThan((await files()).indexOf('operator-words.rec'));
    await page.getByRole('columnheader', { name: 'Result' }).getByRole('button').click();
    expect((await files()).indexOf(FIXTURE)).toBeGreaterThan((await files()).indexOf('operator-words.rec'));
    await page.getByLabel('Show only').fill('first pair');
    expect(await files()).toEqual(['operator-words.rec']);
    await page.getByLabel('Show only').fill('');
  });

  it('are compared two at a time: side by side, and whether they agree', async () => {
    await page.getByRole('checkbox', { name: `Choose ${FIXTURE}` }).check();
    await page.getByRole('checkbox', { name: 'Choose operator-words.rec' }).check();
    const table = page.getByTestId('compare');
    await table.waitFor();
    expect(await table.getByRole('row', { name: 'Set 4' }).textContent()).toMatch(/1\.15\d+ ± 0\.000\d+–$/);
    expect(await table.textContent()).toContain('first pair (invented)');
    const agreement = page.getByTestId('agreement');
    expect(await agreement.textContent()).toContain('do not agree within their U: they differ by 0.3');
    await drop('with-load.rec', readFileSync(join('fixtures', 'internal-resistance.rec'), 'utf8'));
    await page.getByRole('checkbox', { name: 'Choose operator-words.rec' }).uncheck();
    await page.getByRole('checkbox', { name: 'Choose with-load.rec' }).check();
    await agreement.getByText(/^They are not compared: one measured E1\/E2, .*, the other r, /).waitFor();
  });

  it('give a class: what it found and all records in one print, and a table', async () => {
    await page.getByRole('checkbox', { name: 'Choose operator-words.rec' }).check();
    const [print] = await Promise.all([
      page.waitForEvent('popup'),
      page.getByRole('button', { name: 'Class table and records, for printing' }).click(),
    ]);
    await print.getByRole('heading', { name: 'What the class found' }).waitFor();
    expect(await print.locator('article h1').count()).toBe(3);
    expect(await print.locator('main').textContent()).toMatch(/2 runs at 2 benches.*r, .*1 run at 1 bench/s);
    await print.close();
    const [table] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Class table as CSV' }).click(),
    ]);
    const rows = parse(readFileSync(await table.path(), 'utf8'), { columns: true }) as { row: string }[];
    expect(rows.filter(({ row }) => row === 'run')).toHaveLength(3);
    expect(rows.filter(({ row }) => row === 'group')).toHaveLength(2);
  });

  it('can be dropped in; a file that is no recording is refused with the reason', async () => {
    await drop('from-home.rec', readFileSync(join('fixtures', 'operator-words.rec'), 'utf8'));
    await page.getByRole('row', { name: 'from-home.rec' }).waitFor();
    await drop('letter.rec', 'Dear laboratory,\n');
    await page.getByText('letter.rec is not a recording').waitFor();
    expect(await page.getByRole('row', { name: 'letter.rec' }).count()).toBe(0);
  });

  it('are replayed: paused, stepped from null to null, sought, and never steered', async () => {
    await page.getByRole('button', { name: `Replay ${FIXTURE}` }).click();
    await page.getByRole('button', { name: 'Pause' }).click();
    await page.waitForFunction(() => document.querySelectorAll('.scrubber-null').length > 20);
    await page.getByRole('button', { name: 'next null' }).click();
    await page.waitForSelector('[data-null=n1]');
    await page.getByRole('button', { name: 'next null' }).click();
    await page.waitForSelector('[data-null=n2]');
    const scrubber = page.getByRole('slider', { name: 'The whole run' });
    await scrubber.fill('200');
    await page.waitForFunction(
      () => document.querySelectorAll('[data-testid=observations] tbody tr').length === 4,
    );
    await scrubber.fill('40');
    await page.waitForFunction(
      () => document.querySelectorAll('[data-testid=observations] tbody tr').length < 2,
    );
    expect(await page.getByRole('button', { name: /^Reject/ }).count()).toBe(0);
    await page.getByLabel('Speed').selectOption('300');
    await page.getByRole('button', { name: 'Play', exact: true }).click();
    await page.getByTestId('result').waitFor();
    await page.waitForFunction(
      () => document.querySelectorAll('[data-testid=observations] tbody tr').length === 4,
    );
    expect(opened.troubles).toEqual([]);
  });

  it('stand after a reload where they were opened', async () => {
    const address = page.url();
    expect(address).toContain('run=replay-1');
    await page.reload();
    await page.getByTestId('result').waitFor();
    expect(await page.inputValue('.run-choice select')).toBe('replay-1');
  });
});
