import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { reportBy } from '../../bridge/commands/report-in-child.ts';
import { temporaryFolder } from '../serial/pty.ts';

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
