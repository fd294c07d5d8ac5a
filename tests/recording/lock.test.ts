import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { linkSync, readdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { rolldown } from 'rolldown';
import { expect, it } from 'vitest';
import type { OpenFile, OpenResult } from '../../bridge/recording/open.ts';
import { createRecording, resumeRecording } from '../../bridge/recording/open.ts';
import { temporaryFiles } from './temporary.ts';

const file = temporaryFiles();

function opened(result: OpenResult): OpenFile {
  if (!result.ok) throw new Error(result.fault.text);
  return result.opened;
}

const inUse = (name: string) => ({
  ok: false,
  fault: { code: 'in-use', text: expect.stringContaining(`${name} is being written`) },
});

it('gives a recording one writer, by whatever name it is opened, a hard link too, until that one lets go', () => {
  const first = opened(createRecording(file('a.rec')));
  symlinkSync(file('a.rec'), file('soft.rec'));
  linkSync(file('a.rec'), file('hard.rec'));
  for (const name of ['a.rec', 'soft.rec', 'hard.rec'])
    expect(resumeRecording(file(name))).toMatchObject(inUse(name));
  first.unlock();
  opened(resumeRecording(file('hard.rec')));
  expect(resumeRecording(file('a.rec'))).toMatchObject(inUse('a.rec'));
});

it('starts whatever an earlier writer, a full disk or a power cut left beside the recording', () => {
  opened(createRecording(file('a.rec'))).unlock();
  expect(readdirSync(dirname(file('a.rec')))).toEqual(['a.rec']);
  for (const left of ['', 'no number', `${process.ppid}\n`]) {
    writeFileSync(file('a.rec.lock'), left);
    opened(resumeRecording(file('a.rec'))).unlock();
  }
});

/** Our own code in another process: it resumes the recording and holds it until it is killed, or says why it could not. */
async function resumeInOtherProcess(code: string, path: string) {
  const script = `import(${JSON.stringify(code)}).then(({ resumeRecording }) => {
    const result = resumeRecording(${JSON.stringify(path)});
    process.stdout.write(result.ok ? 'held' : result.fault.code);
  });
  setInterval(() => {}, 1000);`;
  const child = spawn(process.execPath, ['-e', script], { stdio: ['ignore', 'pipe', 'inherit'] });
  const [answer] = (await once(child.stdout, 'data')) as [Buffer];
  return { child, answer: answer.toString() };
}

async function bundled(): Promise<string> {
  const bundle = await rolldown({ input: 'bridge/recording/open.ts', platform: 'node' });
  await bundle.write({ file: file('open.mjs'), format: 'esm' });
  await bundle.close();
  return file('open.mjs');
}

it('is had by one of several processes that ask in one instant, and freed by the kernel when that one is killed', async () => {
  opened(createRecording(file('a.rec'))).unlock();
  const code = await bundled();
  for (let round = 0; round < 3; round += 1) {
    const asking = await Promise.all([1, 2, 3, 4].map(() => resumeInOtherProcess(code, file('a.rec'))));
    expect(asking.map(({ answer }) => answer).sort()).toEqual(['held', 'in-use', 'in-use', 'in-use']);
    expect(resumeRecording(file('a.rec'))).toMatchObject(inUse('a.rec'));
    for (const { child } of asking) child.kill('SIGKILL');
    await Promise.all(asking.map(({ child }) => once(child, 'exit')));
  }
  opened(resumeRecording(file('a.rec')));
});
