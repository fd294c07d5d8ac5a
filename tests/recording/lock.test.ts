import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, symlinkSync, unlinkSync, writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import type { OpenResult } from '../../bridge/recording/open.ts';
import { createRecording, resumeRecording } from '../../bridge/recording/open.ts';
import { RecordingWriter } from '../../bridge/recording/write.ts';
import { temporaryFiles } from './temporary.ts';

const file = temporaryFiles();

function writerOf(result: OpenResult): RecordingWriter {
  if (!result.ok) throw new Error(result.fault.text);
  return new RecordingWriter(result.opened, () => {});
}

it('gives a recording one writer, by whatever name, until that one has closed it', () => {
  const writer = writerOf(createRecording(file('a.rec')));
  symlinkSync(file('a.rec'), file('b.rec'));
  const inUse = { ok: false, fault: { code: 'in-use', text: expect.stringContaining('a.rec.lock') } };
  expect(resumeRecording(file('a.rec'))).toMatchObject(inUse);
  expect(resumeRecording(file('b.rec'))).toMatchObject(inUse);
  writer.close();
  expect(existsSync(file('a.rec.lock'))).toBe(false);
  const again = writerOf(resumeRecording(file('b.rec')));
  expect(resumeRecording(file('a.rec'))).toMatchObject(inUse);
  again.close();
});

it('heeds the lock of a process that lives, not that of one which is gone', () => {
  writerOf(createRecording(file('a.rec'))).close();
  const gone = spawnSync(process.execPath, ['--version']).pid;
  for (const stale of [gone, process.pid]) {
    writeFileSync(file('a.rec.lock'), `${stale}\n`);
    writerOf(resumeRecording(file('a.rec'))).close();
  }
  for (const living of [process.ppid, 'no number']) {
    writeFileSync(file('a.rec.lock'), `${living}\n`);
    expect(resumeRecording(file('a.rec'))).toMatchObject({ ok: false, fault: { code: 'in-use' } });
    expect(readFileSync(file('a.rec.lock'), 'utf8')).toBe(`${living}\n`);
  }
  unlinkSync(file('a.rec'));
  expect(createRecording(file('a.rec'))).toMatchObject({ ok: false, fault: { code: 'in-use' } });
  expect(existsSync(file('a.rec'))).toBe(false);
});
