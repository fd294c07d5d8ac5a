import assert from 'node:assert/strict';
import { Buffer } from 'node:buffer';
import {
  closeSync,
  constants,
  existsSync,
  openSync,
  readFileSync,
  readSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { randomStream } from '../../bridge/simulate/random.ts';
import type { Tenwire } from '../cli/tenwire.ts';
import { builtTenwire } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';
import { FedBoard } from './fed-board.ts';
import { part } from './figures.ts';

const RATE_HZ = 1000;
/** A recording is folded at each start: a new one now and then keeps starts short. */
const KILLS_A_FILE = 20;
const START_WITHIN_MS = 120_000;

/** The numbers of the samples in a text, in order. */
const seqsIn = (text: string): number[] =>
  [...text.matchAll(/(?:^|\n)(?:[\d.]+ < )?S,(\d+),[^\n]*\*[0-9A-F]{4}(?=\r?\n)/g)].map((found) =>
    Number(found[1]),
  );

/** What the kernel still holds of a port that nobody has open any more. */
function heldByKernel(port: string): string {
  const file = openSync(port, constants.O_RDONLY | constants.O_NONBLOCK | constants.O_NOCTTY);
  const buffer = Buffer.alloc(65_536);
  let text = '';
  try {
    for (;;) text += buffer.toString('latin1', 0, readSync(file, buffer));
  } catch {
    // EAGAIN: it holds no more.
  }
  closeSync(file);
  return text;
}

interface Stand {
  tenwire: Tenwire;
  folder: string;
  board: FedBoard;
  port: string;
  bench: string;
}

const hasSamples = (path: string, from: number): boolean =>
  existsSync(path) && statSync(path).size > from + 500 && readFileSync(path).includes(' < S,', from);

/** Starts a run, kills it after a while, and answers how many lines went lost between kernel and file. */
async function killOnce(stand: Stand, path: string, lifeMs: number): Promise<number> {
  const { tenwire, folder, board, port, bench } = stand;
  const resume = existsSync(path) ? ['--resume'] : ['--bench', bench];
  const before = existsSync(path) ? readFileSync(path) : Buffer.alloc(0);
  const run = tenwire.start(
    ['run', '--port', port, '--out', path, '--http-port', '0', '--temperature', 'unknown', ...resume],
    { cwd: folder },
  );
  await until(
    () => run.child.exitCode !== null || hasSamples(path, before.length),
    'samples are recorded',
    START_WITHIN_MS,
  );
  assert.equal(run.child.exitCode, null, `the run did not begin: ${run.err()}`);
  await sleep(lifeMs);
  run.child.kill('SIGKILL');
  await run.ended;
  board.pause();
  const after = readFileSync(path);
  assert(after.subarray(0, before.length).equals(before), 'an earlier byte was changed');
  const last = seqsIn(after.toString('latin1')).at(-1);
  // What the board wrote may still be on its way to the kernel.
  await sleep(50);
  const lost = lostBetween(last, seqsIn(heldByKernel(port)).at(0) ?? board.nextSeq);
  board.begin();
  return lost;
}

function lostBetween(last: number | undefined, next: number): number {
  assert(last !== undefined, 'no sample was recorded');
  return (next - last - 1 + 0x10000) % 0x10000;
}

/** kill -9 in the middle of a run, again and again, each time taken up again: the program as it is shipped. */
export const kills = part({
  full: { kills: 1000 },
  short: { kills: 3 },
  async run({ kills: times }, seed) {
    const random = randomStream(seed, 'kills');
    const folder = temporaryFolder();
    const port = join(folder, 'port');
    const bench = join(folder, 'bench.json');
    writeFileSync(bench, readFileSync('fixtures/bench-example.json'));
    const board = new FedBoard(port, { name: 'torture', rateHz: RATE_HZ, speed: 1 });
    await board.plugIn();
    board.begin();
    const tenwire = builtTenwire();
    const lost: number[] = [];
    try {
      for (let kill = 0; kill < times; kill += 1) {
        const path = join(folder, `${Math.floor(kill / KILLS_A_FILE)}.rec`);
        lost.push(await killOnce({ tenwire, folder, board, port, bench }, path, 400 * random.uniform()));
      }
    } finally {
      board.pause();
      await board.unplug();
      rmSync(folder, { recursive: true });
    }
    const sum = lost.reduce((all, one) => all + one, 0);
    return {
      kills: times,
      'earlier bytes changed': 0,
      'lines lost a kill, mean': (sum / times).toFixed(2),
      'most lines lost by one kill': Math.max(...lost),
      'kills that lost none': lost.filter((one) => one === 0).length,
    };
  },
});
