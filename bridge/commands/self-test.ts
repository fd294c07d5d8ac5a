import { createInterface } from 'node:readline';
import type { SelfTestCheck } from '../self-test/judge.ts';
import { type Operator, runSelfTest, type SelfTestReport } from '../self-test/run-self-test.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface SelfTestCommandOptions {
  port: string;
  baud: number;
  rows: number;
  json: boolean;
}

/** Leads through the self-test of the front end of docs/hardware.md. 1 where a part is to be looked at, or nothing could be tested. */
export async function selfTestCommand(
  options: SelfTestCommandOptions,
  terminal: Terminal,
): Promise<ExitCode> {
  const { operator, close } = operatorAtTerminal(terminal);
  try {
    const tested = await runSelfTest(
      { path: options.port, baudRate: options.baud, rows: options.rows },
      operator,
    );
    if (!tested.ok) {
      terminal.note(tested.fault.text);
      return 1;
    }
    if (options.json) terminal.out(JSON.stringify(tested.report, null, 2));
    else for (const line of linesOf(tested.report)) terminal.out(line);
    return tested.report.passed ? 0 : 1;
  } catch (thrown) {
    if (!(thrown instanceof NobodyAnswers)) throw thrown;
    terminal.note('the self-test was given up: there is no more input');
    return 1;
  } finally {
    close();
  }
}

class NobodyAnswers extends Error {}

/** Enter is the answer. Lines that come early are kept for the next question: a script may send them all at once. */
function operatorAtTerminal(terminal: Terminal): { operator: Operator; close(): void } {
  const input = createInterface({ input: process.stdin });
  let waiting = 0;
  let ended = false;
  let wake = () => {};
  input.on('line', () => {
    waiting += 1;
    wake();
  });
  input.on('close', () => {
    ended = true;
    wake();
  });
  const done = (signal?: AbortSignal) =>
    new Promise<void>((resolve, reject) => {
      wake = () => {
        if (signal?.aborted === true) reject(signal.reason);
        else if (waiting > 0) {
          waiting -= 1;
          resolve();
        } else if (ended) reject(new NobodyAnswers());
        else return;
        wake = () => {};
      };
      signal?.addEventListener('abort', () => wake());
      wake();
    });
  return { operator: { tell: (line) => terminal.note(`> ${line}`), done }, close: () => input.close() };
}

function linesOf({ board, checks, passed, leftOut }: SelfTestReport): string[] {
  return [
    `board ${board.name}, ${board.firmware}`,
    ...checks.map(lineOf),
    ...(leftOut.length === 0 ? [] : [`not looked at, the board does not sense them: ${leftOut.join(', ')}`]),
    passed
      ? 'The front end is as docs/hardware.md says, as far as this test can see.'
      : 'Look at the parts named, the likeliest first, then test again. No cell before it passes.',
  ];
}

const lineOf = ({ id, passed, seen, parts }: SelfTestCheck): string =>
  `${passed ? 'pass' : 'FAIL'} ${id.padEnd(14)} ${seen}${passed || parts.length === 0 ? '' : `; look at ${[...new Set(parts)].join(', ')}`}`;
