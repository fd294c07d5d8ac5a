import { writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { readBenchFile } from '../../bridge/commands/bench-option.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { temporaryFiles } from '../recording/temporary.ts';

const file = temporaryFiles();

function reading(more: string) {
  writeFileSync(file('bench.json'), `${JSON.stringify(INVENTED_BENCH).slice(0, -1)},"more":${more}}`);
  return readBenchFile(file('bench.json'));
}

it('refuses a bench that a recording could not hold on one line', () => {
  expect(reading(`"${'x'.repeat(200_000)}"`)).toMatchObject({ ok: true });
  const tooBig = { ok: false, text: expect.stringContaining('too long for a recording') };
  expect(reading(`"${'x'.repeat(300_000)}"`)).toMatchObject(tooBig);
  // short in the file, long as it is written again
  expect(reading(`[${'1e20,'.repeat(20_000)}0]`)).toMatchObject(tooBig);
  expect(reading(`${'['.repeat(30_000)}${']'.repeat(30_000)}`)).toMatchObject(tooBig);
});

it('reads a file as an editor of Windows leaves it: a byte order mark, CRLF', () => {
  const text = JSON.stringify(INVENTED_BENCH, null, 2).replaceAll('\n', '\r\n');
  writeFileSync(file('bench.json'), `\ufeff${text}`);
  expect(readBenchFile(file('bench.json'))).toMatchObject({ ok: true, raw: INVENTED_BENCH });
});
