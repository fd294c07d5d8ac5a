import { PassThrough } from 'node:stream';
import { expect, it } from 'vitest';
import { processTerminal } from '../../bridge/commands/terminal.ts';

const NAME = 'Bench\x1b]0;owned\x07\x9b2J\u202e 4\nnext line, Größe 5 µA';

function printed(isTTY: boolean): string[] {
  const streams = [new PassThrough(), new PassThrough()].map((stream) => Object.assign(stream, { isTTY }));
  const [stdout, stderr] = streams;
  const terminal = processTerminal({ stdout, stderr, stdin: {} });
  terminal.out(NAME);
  terminal.note(NAME);
  terminal.progress(NAME);
  return streams.map((stream) => String(stream.read()));
}

it('shows what would steer a terminal, and lets umlauts and line ends be', () => {
  const shown = 'Bench\\u001b]0;owned\\u0007\\u009b2J\\u202e 4\nnext line, Größe 5 µA';
  expect(printed(true)).toEqual([`${shown}\n`, `${shown}\n${shown}`.slice(0, shown.length + 1 + 79)]);
});

it('gives a pipe or a file every character as it is', () => {
  expect(printed(false)).toEqual([`${NAME}\n`, `${NAME}\n`]);
});
