import { PassThrough } from 'node:stream';
import { expect, it } from 'vitest';
import { aboutRun, ask } from '../../bridge/commands/about-option.ts';

function script() {
  const noted: string[] = [];
  return {
    noted,
    out: () => {},
    note: (line: string) => noted.push(line),
    progress: () => {},
    interactive: false,
  };
}

it('takes who and how warm from the options', async () => {
  const terminal = script();
  const about = await aboutRun({ by: ['A. Tester'], temperature: '21,5' }, terminal);
  expect(about).toEqual({ ok: true, by: ['A. Tester'], temperatureC: 21.5 });
  expect(terminal.noted).toEqual([]);
});

it('does not hold a script up, and says what the record lacks', async () => {
  const terminal = script();
  const about = await aboutRun({ by: [], temperature: null }, terminal);
  expect(about).toEqual({ ok: true, by: [], temperatureC: null });
  expect(terminal.noted.join(' ')).toMatch(/--by.*--temperature/);
});

it('takes "unknown" for an answer, and nonsense for none', async () => {
  const terminal = script();
  expect(await aboutRun({ by: ['A'], temperature: 'unknown' }, terminal)).toMatchObject({ ok: true });
  expect(terminal.noted).toEqual([]);
  expect(await aboutRun({ by: ['A'], temperature: 'warm' }, terminal)).toMatchObject({ ok: false });
});

it.each([
  ['A. Tester, B\r', 'A. Tester, B'],
  ['\x04', ''],
  ['\x03', null],
])('asks, and takes %j for %j', async (typed, answer) => {
  const input = new PassThrough();
  const asked = ask('Who?', input, new PassThrough());
  input.write(typed);
  expect(await asked).toBe(answer);
});

it('takes the end of the input for an empty answer', async () => {
  const input = new PassThrough();
  const asked = ask('Who?', input, new PassThrough());
  input.end();
  expect(await asked).toBe('');
});
