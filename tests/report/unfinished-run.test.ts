import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { recordPage } from '../../bridge/report/page/record-page.tsx';
import { readRun } from '../../bridge/report/read-run.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import { runMaker } from '../../bridge/session/make-run.ts';

/** A run may be reported at any moment: sets half done, cells without a null, a result from one set. */

const MOMENTS = 10;
const FOLDER = 'fixtures';

const folder = mkdtempSync(join(tmpdir(), 'tenwire-unfinished-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the record and the JSON of a run that goes on', async () => {
  const makeRun = await runMaker();
  const recordings = readdirSync(FOLDER).filter((name) => name.endsWith('.rec'));

  it.each(recordings)(`are made at each of ${MOMENTS} moments of %s`, async (name) => {
    const bytes = readFileSync(join(FOLDER, name));
    const path = join(folder, name);
    for (let moment = 1; moment <= MOMENTS; moment++) {
      writeFileSync(path, bytes.subarray(0, Math.floor((bytes.length * moment) / MOMENTS)));
      const reading = await readRun(path, makeRun);
      if (!reading.ok) throw new Error(`moment ${moment}: ${reading.text}`);
      const page = recordPage(reading.run);
      expect(page.match(/\b(NaN|undefined|Infinity)\b/)?.[0], `record at moment ${moment}`).toBeUndefined();
      expect(reportJson(reading.run).format).toBeDefined();
    }
  });
});
