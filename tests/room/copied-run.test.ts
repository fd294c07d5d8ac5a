import { appendFileSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CopiedRun } from '../../bridge/room/copied-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';

let folder: string;
beforeEach(() => {
  folder = temporaryFolder();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('a run that is watched by its copy', () => {
  it.each(['comparison-four-sets.rec', 'operator-words.rec', 'internal-resistance.rec'])(
    'shows at its end what a report of the recording says: %s',
    async (fixture) => {
      const bytes = readFileSync(join('fixtures', fixture));
      const path = join(folder, 'copy.rec');
      const makeRun = await runMaker();
      const copied = new CopiedRun('copied', 'a bench', path, makeRun);
      const random = randomStream(3, fixture);
      for (let at = 0; at < bytes.length; ) {
        const to = Math.min(bytes.length, at + 1 + Math.floor(60_000 * random.uniform()));
        appendFileSync(path, bytes.subarray(at, to));
        copied.grown(statSync(path).size);
        at = to;
        await new Promise((done) => setImmediate(done));
      }
      let ended = false;
      copied.onEnded(() => {
        ended = true;
      });
      await until(() => {
        copied.endAt(bytes.length);
        return ended;
      }, 'the end of the run');
      const whole = await runFromRecording(join('fixtures', fixture), makeRun);
      if (!whole.ok) throw new Error(whole.fault.text);
      expect(copied.view()).toEqual(whole.run.view());
      copied.close();
    },
  );
});
