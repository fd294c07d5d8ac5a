import { readFileSync } from 'node:fs';
import { join } from 'node:path';
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
  it('are listed, and two stand side by side in one table', async () => {
    await page.getByRole('row', { name: FIXTURE }).waitFor();
    await page.getByRole('checkbox', { name: `Compare ${FIXTURE}` }).check();
    await page.getByRole('checkbox', { name: 'Compare operator-words.rec' }).check();
    const table = page.getByTestId('compare');
    await table.waitFor();
    expect(await table.getByRole('row', { name: 'Set 4' }).textContent()).toMatch(/1\.15\d+ ± 0\.000\d+–$/);
    expect(await table.textContent()).toContain('first pair (invented)');
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
