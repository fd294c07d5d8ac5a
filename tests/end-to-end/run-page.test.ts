import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type RunningServer, serve } from '../../bridge/serve/server.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { builtPath } from '../built.ts';
import { handDrivenSession } from '../serve/hand-driven-session.ts';
import { sampleNull } from '../serve/sample-view.ts';
import { until } from '../until.ts';
import { launchChromium, openPage } from './browser.ts';

let browser: Browser;
let server: RunningServer;
let bench: ReturnType<typeof handDrivenSession>;
let opened: Awaited<ReturnType<typeof openPage>>;

beforeAll(async () => {
  browser = await launchChromium();
});

afterAll(async () => {
  await browser?.close();
});

beforeEach(async () => {
  const sessions = sessionRegistry();
  bench = handDrivenSession();
  sessions.add(bench.session);
  const outcome = await serve({ sessions, pageFolder: builtPath('web'), port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  server = outcome.server;
  opened = await openPage(browser, server.url);
  await opened.page.waitForSelector('[data-testid=balancing-length]');
});

afterEach(async () => {
  const troubles = opened.troubles;
  await opened.close();
  await server.close();
  expect(troubles).toEqual([]);
});

const textOf = (selector: string) => opened.page.textContent(selector);

describe('the page of a run', () => {
  it('shows the null with its uncertainty, the table, and what to do next', async () => {
    expect(await textOf('[data-testid=balancing-length]')).toMatch(/743\.210\s*± 0\.034 cm/);
    expect(await textOf('[data-testid=observations]')).toContain('1.19540 ± 0.00010');
    expect(await textOf('.next-text')).toContain('begin set 2');
    expect(await textOf('[data-testid=link]')).toContain('board sim-4 answers');
    expect(await textOf('[data-testid=findings]')).toContain('Too few sets');
  });

  it('follows the run: a new null and a lost link are announced', async () => {
    const nulls = bench.session.view().nulls;
    bench.change({ nulls: [...nulls, sampleNull({ id: 'n3', lengthCm: 700.5, uCm: 0.05 })], linkUp: false });
    await opened.page.getByText('board silent').waitFor();
    expect(await opened.page.textContent('[data-testid=null-news]')).toBe(
      'Null n3 found at 700.500 ± 0.050 cm.',
    );
    expect(await textOf('[data-testid=balancing-length]')).toContain('700.500');
  });

  it('rejects a null with a reason, and restores it', async () => {
    const { page } = opened;
    await page.getByRole('button', { name: 'Reject n1' }).click();
    await page.keyboard.type('jockey slipped');
    await page.keyboard.press('Enter');
    await until(() => bench.recorded.length === 1, 'the rejection');
    expect(bench.recorded[0]).toEqual({ kind: 'reject', null: 'n1', reason: 'jockey slipped' });
    const nulls = bench.session.view().nulls;
    bench.change({ nulls: [{ ...nulls[0], rejected: 'jockey slipped', used: false }, nulls[1]] });
    await page.getByRole('button', { name: 'Restore n1' }).click();
    await until(() => bench.recorded.length === 2, 'the restoring');
    expect(bench.recorded[1]).toEqual({ kind: 'restore', null: 'n1' });
  });

  it('comes back by itself when the bridge was away', async () => {
    const { port } = server;
    await server.close();
    await opened.page.getByText('The bridge does not answer').waitFor();
    const sessions = sessionRegistry();
    sessions.add(bench.session);
    const outcome = await serve({ sessions, pageFolder: builtPath('web'), port, listen: null });
    if (!outcome.ok) throw new Error(outcome.text);
    server = outcome.server;
    await opened.page.getByText('The bridge does not answer').waitFor({ state: 'detached' });
    bench.change({ durationS: 77 });
    opened.troubles.length = 0;
  });

  it('says that an entry may be lost, where the bridge went away before it answered', async () => {
    const { port } = server;
    const sessions = sessionRegistry();
    sessions.add(bench.session);
    const record = bench.session.recordEvent;
    let closed: Promise<void> | null = null;
    bench.session.recordEvent = (event) => {
      closed ??= server.close();
      return record(event);
    };
    await opened.page.getByRole('button', { name: 'Reject n1' }).click();
    await opened.page.keyboard.press('Enter');
    await until(() => closed !== null, 'the bridge to go away');
    await closed;
    bench.session.recordEvent = record;
    const outcome = await serve({ sessions, pageFolder: builtPath('web'), port, listen: null });
    if (!outcome.ok) throw new Error(outcome.text);
    server = outcome.server;
    await opened.page.getByText('look in the history whether your last entry is there').waitFor();
    opened.troubles.length = 0;
  });

  it('draws readings as they come', async () => {
    const inked = () =>
      opened.page.evaluate(() => {
        const canvas = document.querySelector<HTMLCanvasElement>('.plot-length .plot-layer');
        const image = canvas?.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height);
        return image?.data.filter((value, index) => index % 4 === 3 && value > 0).length ?? 0;
      });
    const before = await inked();
    for (let index = 0; index < 200; index += 1) {
      bench.read({ atS: index / 200, lengthCm: 741 + index / 50, currentUa: 1.9 - index / 55 });
    }
    await expect.poll(inked, { timeout: 20_000 }).toBeGreaterThan(before + 500);
    await expect.poll(() => textOf('.figures'), { timeout: 20_000 }).toContain('745.0 cm · touching');
  });
});
