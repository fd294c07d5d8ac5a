import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Running } from '../cli/tenwire.ts';
import type { BenchAtPort } from './bench-at-port.ts';
import { WALK } from './page-hand.ts';
import { openShippedStand, type ShippedStand } from './shipped-stand.ts';

/** What nobody means to do and everybody does once: each must say plainly what is going on, and lose nothing. */

const PATIENCE_MS = 60_000;

let stand: ShippedStand;
let bench: BenchAtPort;
let serving: Running;
let opened: Awaited<ReturnType<ShippedStand['openAt']>>;
let page: Page;
let address = '';

/** The bridge at the port it had before, if it had one. */
async function startBridge(): Promise<void> {
  ({ serving, address } = await stand.serve(new URL(address || 'http://127.0.0.1:0').port || '0'));
}

const openAnother = () => stand.openAt(address);

beforeAll(async () => {
  stand = await openShippedStand('wrong', 1.5, PATIENCE_MS);
  ({ bench } = stand);
  mkdirSync(join(stand.folder, 'benches'));
  writeFileSync(join(stand.folder, 'benches', 'sound.json'), JSON.stringify(bench.truth));
  const senseless = { ...bench.truth, wire: { ...bench.truth.wire, rows: 0 } };
  writeFileSync(join(stand.folder, 'benches', 'senseless.json'), JSON.stringify(senseless));
  await startBridge();
  opened = await openAnother();
  ({ page } = opened);
}, 300_000);

afterAll(() => stand?.close(serving));

const tab = (name: string) => page.getByRole('navigation').getByRole('button', { name, exact: true }).click();
const notice = (on = page) => on.locator('.banner-notice');

async function drop(name: string, make: 'text' | 'garbage' | 'garbage with a header'): Promise<void> {
  const data = await page.evaluateHandle(
    ([fileName, what]) => {
      const bytes = new Uint8Array(what === 'text' ? 20 : 5_000_000);
      let state = 1;
      for (let at = 0; at < bytes.length; at += 1) {
        state = (Math.imul(state, 1_103_515_245) + 12_345) & 0x7fffffff;
        bytes[at] = state >> 16;
      }
      const head = what === 'garbage with a header' ? '#tenwire-recording 1\n' : '';
      const transfer = new DataTransfer();
      const content = what === 'text' ? ['Dear laboratory,\n'] : [head, bytes];
      transfer.items.add(new File(content, fileName));
      return transfer;
    },
    [name, make] as const,
  );
  await page.dispatchEvent('.drop-zone', 'drop', { dataTransfer: data });
}

describe('files that are none', () => {
  it(
    'are refused by name when they are dropped, small and large, and nothing of them is kept',
    WALK,
    async () => {
      await tab('Recordings');
      await drop('letter.txt', 'text');
      await notice().getByText('letter.txt is not a recording: its first line should be').waitFor();
      await drop('noise.rec', 'garbage');
      await notice().getByText('noise.rec is not a recording').waitFor();
      expect(stand.recordings()).toEqual([]);
      await notice().getByRole('button', { name: 'Close' }).click();
      expect(await notice().count()).toBe(0);
    },
  );

  it('a recording of nothing but garbage opens: all lines damaged, no board', WALK, async () => {
    await drop('damaged.rec', 'garbage with a header');
    await page.getByRole('button', { name: 'Replay damaged.rec' }).click();
    await page.getByText(/\d+ damaged lines/).waitFor();
    await page.getByText('replay of damaged.rec').waitFor();
    expect(serving.child.exitCode).toBeNull();
    await page.getByRole('button', { name: 'Close the replay' }).click();
    await page.getByRole('row', { name: 'damaged.rec' }).waitFor();
    rmSync(join(stand.folder, 'recordings', 'damaged.rec'));
  });

  it(
    'a senseless bench file is not opened, what was described stands, and it can not begin a run',
    WALK,
    async () => {
      await tab('Bench');
      await page.getByRole('button', { name: 'nothing', exact: true }).click();
      await page.locator('[data-path=name]').fill('half described');
      await page.getByRole('button', { name: 'senseless.json' }).click();
      await notice()
        .getByText("senseless.json can't be used: wire.rows: a whole number from 1 to 20")
        .waitFor();
      expect(await page.locator('[data-path=name]').inputValue()).toBe('half described');
      await page.getByLabel('Port').fill(bench.at.path);
      expect(await page.getByRole('button', { name: 'Begin the run' }).isDisabled()).toBe(true);
    },
  );
});

describe('a run', () => {
  it('is there again after a reload, with all its nulls and events', WALK, async () => {
    await page.getByRole('button', { name: 'sound.json' }).click();
    await page.getByRole('button', { name: 'Begin the run' }).click();
    await page.getByTestId('link').getByText('board unnamed answers').waitFor();
    await bench.goTo(7, 8, true);
    await bench.work({ to: { row: 7, scaleCm: 26 } });
    await bench.work({ pressed: false });
    await page.waitForSelector('[data-null=n1]');
    await page.getByRole('button', { name: 'Reject n1' }).click();
    await page.keyboard.type('jockey slipped');
    // Half a sentence is nobody's word yet.
    await page.reload();
    await page.waitForSelector('[data-null=n1]');
    expect(await page.getByText('rejected').count()).toBe(0);
    await page.getByRole('button', { name: 'Reject n1' }).click();
    await page.keyboard.type('jockey slipped');
    await page.keyboard.press('Enter');
    await page.getByText('rejected: jockey slipped').waitFor();
    await page.reload();
    await page.getByText('rejected: jockey slipped').waitFor();
  });

  it('is steered by two pages at once, and no event of either is lost', WALK, async () => {
    const other = await openAnother();
    await other.page.getByText('rejected: jockey slipped').waitFor();
    await Promise.all([
      page.getByRole('button', { name: 'Restore n1' }).click(),
      other.page.getByRole('button', { name: 'Restore n1' }).click(),
    ]);
    const note = async (on: Page, text: string) => {
      const history = on.locator('details.history');
      if (!(await history.evaluate((details) => (details as HTMLDetailsElement).open)))
        await history.locator('summary').click();
      await history.getByLabel('Note').fill(text);
      await history.getByRole('button', { name: 'Add a note' }).click();
    };
    await Promise.all([note(page, 'from the one'), note(other.page, 'from the other')]);
    for (const on of [page, other.page])
      for (const text of ['note: from the one', 'note: from the other']) await on.getByText(text).waitFor();
    expect(await page.locator('[data-null=n1].rejected').count()).toBe(0);
    // Taken back on both: one is told that it has been done.
    const back = (on: Page) =>
      on
        .locator('li', { hasText: 'from the one' })
        .getByRole('button', { name: /^Take back/ })
        .click();
    await other.page.evaluate(() => {
      // As slow as a page on a poor network: its view stands still until it is pressed.
      (globalThis as { requestAnimationFrame: unknown }).requestAnimationFrame = () => 0;
    });
    await back(page);
    await page.getByText('taken back').first().waitFor();
    await back(other.page);
    await notice(other.page)
      .getByText(/Event \d+ has been taken back already/)
      .waitFor();
    await other.close();
  });

  it(
    'whose bridge is killed is not lost: the page says so, and goes on in the same recording',
    WALK,
    async () => {
      const [file] = stand.recordings();
      serving.child.kill('SIGKILL');
      await serving.ended;
      await page.getByText('The bridge does not answer. Trying again; what was recorded is safe.').waitFor();
      await tab('Bench');
      // What is typed stays; what is pressed is not done, and said to be.
      await page.locator('[data-path=name]').fill('typed meanwhile');
      await page.getByRole('button', { name: 'Save the bench' }).click();
      await page.getByText('The bridge does not answer: this was not done').waitFor();
      await startBridge();
      await notice().getByText('not on the bridge any more').waitFor();
      await page.getByLabel('Recording').selectOption(file);
      expect(await page.locator('[data-path=name]').inputValue()).toBe('typed meanwhile');
      await page.getByRole('button', { name: 'Go on with the run' }).click();
      await page.waitForSelector('[data-null=n1]');
      await page.getByTestId('link').getByText('board unnamed answers').waitFor();
      const text = readFileSync(join(stand.folder, 'recordings', file), 'utf8');
      expect(text).toContain('"kind":"resumed"');
      expect(text).toContain('from the other');
      await bench.goTo(7, 8, true);
      await bench.work({ to: { row: 7, scaleCm: 26 } });
      await bench.work({ pressed: false });
      await page.waitForSelector('[data-null=n2]');
      expect(stand.recordings()).toEqual([file]);
      serving.child.kill('SIGINT');
      await serving.ended;
      const { nulls, stream } = stand.reportOf(file);
      expect(nulls.map(({ id }) => id)).toEqual(['n1', 'n2']);
      expect(stream.samples).toBeGreaterThan(1000);
    },
  );
});
