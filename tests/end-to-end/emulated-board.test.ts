import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { resultText } from '../../bridge/calc-core/rounding.ts';
import { type BoardAtPort, openBoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { heldBench } from '../../bridge/emulate/held-bench.ts';
import { sceneAtBoard } from '../../bridge/emulate/scene-board.ts';
import type { ReportJson } from '../../bridge/report/report-json.ts';
import { COMPARISON, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { truthOf } from '../../bridge/simulate/truth.ts';
import { builtTenwire, pageAddress, type Running, type Tenwire } from '../cli/tenwire.ts';
import { until } from '../until.ts';
import { launchChromium, openPage } from './browser.ts';

/**
 * Everything real but the bench itself: the bench's circuit as voltages at the pins, the firmware run instruction by
 * instruction, a pseudo-terminal, the program as it is shipped, its page in Chromium. Nothing depends on how fast it runs.
 */

/** As fast as the computer can: beyond some 4 the board's time slips, and nobody minds. */
const SPEED = 6;
const PATIENCE_MS = 800_000;

/** A student with a quick hand and few passes: what takes time here is the emulator. */
const SCENE = sceneWith({
  seed: 11,
  hand: { carrySpeedCmPerS: 90 },
  task: { ...COMPARISON, rheostatOhm: [1.2, 7.9], passes: 2, writeDownS: 0.5 },
});
const bench = sceneAtBoard(SCENE);
const { ratio } = truthOf(bench.scene);

let folder: string;
let browser: Browser;
let tenwire: Tenwire;
let at: BoardAtPort;
let run: Running | null = null;
const hand = heldBench(bench.bench);

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-whole-'));
  browser = await launchChromium();
  tenwire = builtTenwire();
  const path = join(folder, 'port');
  const opening = await openBoardAtPort({ ...bench, bench: hand.bench, path, speed: SPEED });
  if (!opening.ok) throw new Error(opening.text);
  at = opening.at;
}, 300_000);

afterAll(async () => {
  run?.child.kill('SIGKILL');
  await run?.ended;
  await at?.close();
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Waits while the bridge runs; one that ended says why. */
const untilAtBridge = (holds: () => boolean, what: string) =>
  until(
    () => {
      if (run?.child.exitCode != null) throw new Error(`the bridge ended: ${run.err()}`);
      return holds();
    },
    what,
    PATIENCE_MS,
  );

/** The bridge, started as a technician would; answers with the page's address. */
async function startBridge(recording: string): Promise<string> {
  const benchFile = join(folder, 'bench.json');
  writeFileSync(benchFile, JSON.stringify(bench.scene.bench));
  const options = ['--port', at.path, '--bench', benchFile, '--out', recording, '--http-port', '0'];
  run = tenwire.start(['run', ...options, '--by', 'A. Tester (invented)', '--temperature', '21.5'], {
    cwd: folder,
  });
  return pageAddress(run, PATIENCE_MS);
}

const reportOf = (recording: string): ReportJson => {
  const { code, out, err } = tenwire.run(['report', '--json', recording]);
  if (code !== 0) throw new Error(err);
  return JSON.parse(out);
};

const waitForText = (page: Page, testId: string, text: string) =>
  page.getByTestId(testId).filter({ hasText: text }).waitFor({ timeout: PATIENCE_MS });

it('from the circuit of the bench to the page: two sets give E1/E2 within its U of the truth', {
  timeout: PATIENCE_MS,
}, async () => {
  const recording = join(folder, 'run.rec');
  const url = await startBridge(recording);
  const { page, troubles, close } = await openPage(browser, 'about:blank');
  await page.addInitScript(() => localStorage.setItem('tenwire.cautions', 'read'));
  await page.goto(url);
  await waitForText(page, 'link', 'unnamed');
  hand.begin();
  await page.waitForSelector('[data-null=n1]', { timeout: PATIENCE_MS });
  await untilAtBridge(() => bench.last().finished, 'the end of the work at the bench');
  // Without power the recording comes to rest, and the page and a report can be compared.
  at.board.setPower(false);
  await waitForText(page, 'link', 'board silent');

  const { result, sets, stream } = reportOf(recording);
  if (result === null) throw new Error('no result');
  const shown = (await page.getByTestId('result').textContent()) ?? '';
  const [, value = '', u = ''] = /^E1\/E2 = (\d\.\d+) ± (\d\.\d+)$/.exec(shown) ?? [];
  expect(Math.abs(Number(value) - ratio)).toBeLessThan(Number(u));
  expect(Math.abs(result.value - ratio)).toBeLessThan(result.U);
  // An interval that holds everything would be no feat.
  expect(result.U).toBeLessThan(3e-3);
  expect(shown).toBe(`E1/E2 = ${resultText(result)}`);
  expect(sets.map(({ set }) => set)).toEqual([1, 2]);
  expect(await page.locator('[data-testid=observations] tbody tr').count()).toBe(2);
  // The bridge came into the middle of a line, and the power cut may have left half of one.
  expect(stream).toMatchObject({ lostSamples: 0, boots: 1 });
  expect(stream.badLines).toBeLessThanOrEqual(2);
  expect(troubles).toEqual([]);
  await close();
});
