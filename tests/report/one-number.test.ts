import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, describe, expect, it } from 'vitest';
import { resultText } from '../../bridge/calc-core/rounding.ts';
import { resultLines } from '../../bridge/commands/result-lines.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { classGroups } from '../../bridge/report/class-groups.ts';
import { classCsv } from '../../bridge/report/class-table.ts';
import { classPage } from '../../bridge/report/page/class-page.tsx';
import { recordPage, shortRecordPage } from '../../bridge/report/page/record-page.tsx';
import { readRun } from '../../bridge/report/read-run.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { ReplaySession } from '../../bridge/session/replay-session.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { openAt, openStage } from '../end-to-end/stage.ts';

/** One value and one U of a run, digit for digit, wherever it is told: of 200 recordings that were drawn, 20 of them in a browser. */

const RECORDINGS = 200;
const IN_BROWSER = 20;
const KINDS = ['emf-comparison', 'internal-resistance', 'reference-cell'] as const;

const folder = mkdtempSync(join(tmpdir(), 'tenwire-one-number-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const pathOf = (draw: number) => join(folder, `drawn-${draw}.rec`);

/** Lengths read by eye (invented): one to six sets at driver currents far apart or close together, now and then with a slip. */
function drawRecording(draw: number): string {
  const { uniform, normal } = randomStream(draw, 'one number');
  const between = (least: number, most: number) => least + (most - least) * uniform();
  const kind = KINDS[draw % KINDS.length];
  const cells = structuredClone(INVENTED_BENCH.cells);
  if (kind === 'reference-cell')
    Object.assign(cells?.[2] ?? {}, { reference: { emfV: 1.0186, standardUncertaintyV: 0.0001 } });
  const events: object[] = [
    { kind: 'bench', bench: { ...INVENTED_BENCH, cells } },
    { kind: 'about', startedUtc: '2026-03-02T09:30:00Z', by: [`pair ${draw} (invented)`] },
    ...(kind === 'internal-resistance' ? [{ kind: 'procedure', procedure: kind }] : []),
  ];
  const [first, ratio, endCm] = [between(1.1, 1.8), between(0.5, 0.98), Math.abs(normal())];
  const read = (lengthCm: number) => {
    const slip = uniform() < 0.02 ? 10 : 0;
    const seen = lengthCm - endCm + 0.03 * normal() + slip;
    const row = Math.min(10, Math.floor(seen / 100) + 1);
    const along = seen - 100 * (row - 1);
    return { row, scaleCm: Math.round(20 * (row % 2 === 1 ? along : 100 - along)) / 20, uCm: 0.05 };
  };
  for (let set = 1; set <= 1 + Math.floor(6 * uniform()); set += 1) {
    const mA = between(95, 150);
    const lengthCm = Math.min(980, (1000 * first) / (mA * 0.0196));
    events.push({ kind: 'set', set }, { kind: 'ammeter', readingMa: Math.round(10 * mA) / 10 });
    for (const turn of [0, 1, 1, 0]) {
      const isLoad = kind === 'internal-resistance';
      if (isLoad) events.push({ kind: 'load', in: turn === 1, ohm: 10 });
      const cell = isLoad ? 1 : 1 + turn;
      events.push({ kind: 'length', cell, set, ...read(lengthCm * (turn === 1 ? ratio : 1)) });
    }
  }
  const lines = events.map((event, index) =>
    formatRecord({ ms: 1000 * index, mark: '!', payload: JSON.stringify(event) }),
  );
  return `${[RECORDING_HEADER, ...lines].join('\n')}\n`;
}

const plain = (html: string): string => html.replace(/<[^>]*>/g, '').replace(/\s+/g, ' ');

const statedIn = (page: string): string[] =>
  Array.from(page.matchAll(/<p class="statement">(.*?)<small>/gs), ([, text]) => plain(text).trim());

describe('the result of a run', async () => {
  const makeRun = await runMaker();
  for (let draw = 0; draw < RECORDINGS; draw += 1) writeFileSync(pathOf(draw), drawRecording(draw));

  it(`is one value with one U on terminal, record, JSON and in the table of a class, for ${RECORDINGS} recordings`, {
    timeout: 400_000,
  }, async () => {
    let results = 0;
    for (let draw = 0; draw < RECORDINGS; draw += 1) {
      const [live, reading] = [
        await runFromRecording(pathOf(draw), makeRun),
        await readRun(pathOf(draw), makeRun),
      ];
      if (!live.ok || !reading.ok) throw new Error(`recording ${draw} can not be read`);
      const view = live.run.view();
      const { run } = reading;
      const emf = view.work.procedure === 'emf-comparison' ? (view.work.emf?.result ?? null) : null;
      const shown = [view.work.outcome?.result ?? null, emf].filter((result) => result !== null);
      const texts = shown.map((result) => `${result.quantity} = ${resultText(result)}`);
      const json = reportJson(run);
      expect(
        [json.result, json.emf?.result].filter((one) => one != null).map(({ value, U }) => [value, U]),
      ).toEqual(shown.map(({ value, U }) => [value, U]));
      expect(resultLines(view).filter((line) => / = .* ± /.test(line))).toEqual(texts);
      for (const page of [recordPage(run), shortRecordPage(run)])
        expect([draw, ...new Set(statedIn(page))]).toEqual([draw, ...texts]);
      const runs = [{ ...run, file: 'a.rec' }];
      const rows = parse(classCsv(runs, classGroups(runs)), { columns: true }) as Record<string, string>[];
      const told = rows.filter(({ rounded }) => rounded !== '');
      expect(told.map(({ quantity, rounded }) => `${quantity} = ${rounded}`)).toEqual(texts);
      // Its first part: each record follows.
      const [classFound] = classPage(runs).split('<article>');
      for (const result of shown) expect(plain(classFound)).toContain(resultText(result));
      results += shown.length;
    }
    expect(results).toBeGreaterThan(RECORDINGS);
  });

  it(`stands so on the page, for ${IN_BROWSER} of them in Chromium`, { timeout: 240_000 }, async () => {
    const stage = await openStage();
    try {
      for (let draw = 0; draw < IN_BROWSER; draw += 1) {
        const id = `drawn-${draw}`;
        const path = join(stage.folder, 'recordings', `${id}.rec`);
        copyFileSync(pathOf(draw), path);
        const reading = await readRun(path, makeRun);
        if (!reading.ok) throw new Error(reading.text);
        const result = reading.run.view.work.outcome?.result ?? null;
        const replay = new ReplaySession({ id, path, speed: Number.POSITIVE_INFINITY, makeRun });
        const ended = new Promise<void>((done) => replay.onEnded(done));
        await replay.start();
        await ended;
        stage.sessions.add(replay);
        const { page, close } = await openAt(stage, `#tab=result&run=${id}`);
        const shown = page.locator('.result-line .result-value, .result-line .quiet').first();
        await shown.waitFor();
        const expected = result === null ? 'No result yet.' : `${result.quantity} = ${resultText(result)}`;
        expect([draw, ((await shown.textContent()) ?? '').trim()]).toEqual([draw, expected]);
        await close();
      }
    } finally {
      await stage.close();
    }
  });
});
