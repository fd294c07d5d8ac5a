import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { FewAtOnce } from '../../bridge/bench-setup/few-at-once.ts';
import { reportBy } from '../../bridge/commands/report-in-child.ts';
import { temporaryFolder } from '../serial/pty.ts';

describe('work for a few at once', () => {
  it('is done so many at a time, in turn; who finds the line full is turned away', async () => {
    const few = new FewAtOnce(2, 3);
    let under = 0;
    let most = 0;
    const work = (name: number) => async () => {
      under += 1;
      most = Math.max(most, under);
      await new Promise((resolve) => setTimeout(resolve, 5));
      under -= 1;
      return name;
    };
    const asked = [1, 2, 3, 4, 5, 6, 7].map((name) => few.do(work(name), 'away'));
    expect(await Promise.all(asked)).toEqual([1, 2, 3, 4, 5, 'away', 'away']);
    expect(most).toBe(2);
  });

  it('leaves its place also where it fails', async () => {
    const few = new FewAtOnce(1, 1);
    const failing = few.do(() => Promise.reject(new Error('no')), 'away');
    const next = few.do(async () => 'done', 'away');
    await expect(failing).rejects.toThrow('no');
    expect(await next).toBe('done');
    expect(await few.do(async () => 'again', 'away')).toBe('again');
  });
});

describe('a report in a process of its own', () => {
  const made = (script: string, longestMin: number, ending = new AbortController()) => {
    const folder = temporaryFolder();
    onTestFinished(() => rmSync(folder, { recursive: true }));
    const program = join(folder, 'program.mjs');
    writeFileSync(program, script);
    return reportBy(program, longestMin)('a.rec', 'json', ending.signal);
  };

  it('is what the program puts out, or what it says against it', async () => {
    expect(await made('console.log(process.argv.slice(2).join())', 1)).toEqual({
      ok: true,
      text: 'report,a.rec,--json\n',
    });
    expect(await made('console.error("no such file"); process.exit(1)', 1)).toEqual({
      ok: false,
      text: 'no such file',
    });
  });

  it('is given up, with a sentence, where it does not end', async () => {
    expect(await made('setInterval(() => {}, 1000)', 0.01)).toMatchObject({
      ok: false,
      text: expect.stringMatching(/given up/),
    });
  });

  it('ends with the bridge', async () => {
    const ending = new AbortController();
    const report = made('setInterval(() => {}, 1000)', 5, ending);
    ending.abort();
    expect(await report).toMatchObject({ ok: false });
    expect(await made('setInterval(() => {}, 1000)', 5, ending)).toMatchObject({ ok: false });
  });
});
