import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { Background } from '../../bridge/bench-setup/background.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { builtBackground } from './built-background.ts';

/** A background whose workers run a script of the test's own. */
function backgroundOf(script: string, longestMin = 5): Background {
  const folder = temporaryFolder();
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const entry = join(folder, 'worker.mjs');
  writeFileSync(entry, `import { parentPort, workerData } from 'node:worker_threads';\n${script}`);
  return new Background(pathToFileURL(entry), longestMin);
}

const job = { kind: 'whole', path: 'a.rec', isTeacher: false } as const;
const going = () => new AbortController();

describe('a job in the background', () => {
  it('is what its worker answers', async () => {
    const background = backgroundOf('parentPort.postMessage({ ok: true, value: workerData.path });');
    expect(await background.do(job, going().signal)).toEqual({ ok: true, value: 'a.rec' });
  });

  it('is given up, with a sentence, where it does not end', async () => {
    const background = backgroundOf('for (;;);', 0.01);
    const done = await background.do(job, going().signal);
    expect(done).toMatchObject({ ok: false, text: expect.stringMatching(/given up/) });
  });

  it('is answered with a sentence where its worker fails', async () => {
    const done = await backgroundOf("throw new Error('no');").do(job, going().signal);
    expect(done).toMatchObject({ ok: false, text: expect.stringMatching(/failed at it: no/) });
  });

  it('ends with the bridge', async () => {
    const background = backgroundOf('setInterval(() => {}, 1000);');
    const ending = going();
    const done = background.do(job, ending.signal);
    ending.abort();
    expect(await done).toMatchObject({ ok: false, descriptor: { key: 'bridge-ends' } });
    expect(await background.do(job, ending.signal)).toMatchObject({ ok: false });
  });

  it('says what is wrong with a recording', async () => {
    const done = await builtBackground().do({ ...job, path: '/nowhere.rec' }, going().signal);
    expect(done).toMatchObject({ ok: false, text: expect.stringContaining('/nowhere.rec') });
  });
});
