import assert from 'node:assert/strict';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Running } from '../cli/tenwire.ts';
import { builtTenwire, pageAddress } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { pageClient } from '../serve/page-client.ts';
import { until } from '../until.ts';
import { FedBoard } from './fed-board.ts';
import { part } from './figures.ts';

const WATCH = resolve('tests/torture/resource-watch.cjs');
/** What may come on top from the first third of the time to the last, after a collection. */
const MOST_HEAP_GROWTH_MB = 20;

interface Held {
  heapMb: number;
  rssMb: number;
  timers: number;
  handles: number;
}

const median = (values: number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];

const linesIn = (path: string): number =>
  existsSync(path) ? readFileSync(path, 'utf8').split('\n').length - 1 : 0;

function growthOf(path: string) {
  const held = readFileSync(path, 'utf8')
    .trim()
    .split('\n')
    .map((line): Held => JSON.parse(line));
  const third = Math.floor(held.length / 3);
  assert(third > 0, 'too short to be judged');
  const of = (name: keyof Held, some: Held[]) => median(some.map((one) => one[name]));
  return (name: keyof Held) => [of(name, held.slice(0, third)), of(name, held.slice(-third))];
}

async function post(port: number, path: string, body: object): Promise<{ ok: boolean; session: string }> {
  const response = await fetch(`http://127.0.0.1:${port}${path}`, {
    method: 'POST',
    body: JSON.stringify(body),
    headers: { Origin: `http://127.0.0.1:${port}` },
  });
  const answer = (await response.json()) as { ok: boolean; session: string; text?: string };
  assert(answer.ok, answer.text);
  return answer;
}

async function beginRuns(port: number, boards: { path: string }[]): Promise<string[]> {
  const bench = JSON.parse(readFileSync('fixtures/bench-example.json', 'utf8'));
  await post(port, '/api/save', { file: 'b.json', bench, run: null });
  const begun: string[] = [];
  for (const { path } of boards) {
    const order = { port: path, baud: 115_200, file: 'b.json', by: [], temperatureC: null };
    begun.push((await post(port, '/api/start', { ...order, procedure: 'emf-comparison' })).session);
  }
  return begun;
}

async function watch(port: number, sessions: string[], clients: number): Promise<() => number> {
  let frames = 0;
  for (let client = 0; client < clients; client += 1) {
    const page = await pageClient(port, { acks: true });
    page.socket.on('message', () => {
      page.heard.length = 0;
      frames += 1;
    });
    page.send({ type: 'open', session: sessions[client % sessions.length] });
  }
  return () => frames;
}

/** Sample numbers that are missing between the first and the last of a recording, none of which the board left out. */
function missingIn(path: string): { samples: number; missing: number } {
  const seqs = [...readFileSync(path, 'latin1').matchAll(/ < S,(\d+),/g)].map((found) => Number(found[1]));
  const missing = seqs.slice(1).filter((seq, index) => seq !== (seqs[index] + 1) % 0x10000).length;
  return { samples: seqs.length, missing };
}

const pageOf = async (run: Running): Promise<number> => Number(new URL(await pageAddress(run, 120_000)).port);

/** Many boards and clients at one bridge: nothing is lost, and what it holds does not grow. */
export const load = part({
  full: { boards: 16, rateHz: 1000, clients: 20, seconds: 120 },
  short: { boards: 3, rateHz: 200, clients: 4, seconds: 9 },
  async run({ boards: count, rateHz, clients, seconds }) {
    const folder = temporaryFolder();
    const held = join(folder, 'held.jsonl');
    mkdirSync(join(folder, 'benches'));
    const boards = Array.from({ length: count }, (_, index) => ({
      path: join(folder, `port-${index}`),
      board: new FedBoard(join(folder, `port-${index}`), { name: `board-${index}`, rateHz, speed: 1 }),
    }));
    for (const { board } of boards) await board.plugIn();
    const tenwire = builtTenwire();
    const run = tenwire.start(['serve', '--http-port', '0'], {
      cwd: folder,
      env: { ...process.env, TENWIRE_HELD: held },
      nodeFlags: ['--expose-gc', '--require', WATCH],
    });
    try {
      const port = await pageOf(run);
      const sessions = await beginRuns(port, boards);
      for (const { board } of boards) board.begin();
      const begunMs = performance.now();
      const frames = await watch(port, sessions, clients);
      // What comes with the beginning is no growth.
      await sleep(2000);
      rmSync(held, { force: true });
      await until(() => linesIn(held) >= seconds, 'it was measured so often', 20_000 * seconds);
      const growth = growthOf(held);
      for (const { board } of boards) board.pause();
      const fedS = (performance.now() - begunMs) / 1000;
      await sleep(2000);
      run.child.kill('SIGTERM');
      await run.ended;
      const recordings = readdirSync(join(folder, 'recordings')).map((name) =>
        missingIn(join(folder, 'recordings', name)),
      );
      assert.equal(recordings.length, count);
      const samples = recordings.reduce((sum, one) => sum + one.samples, 0);
      assert.equal(
        recordings.reduce((sum, one) => sum + one.missing, 0),
        0,
        'samples are missing',
      );
      const [heapFirst, heapLast] = growth('heapMb');
      assert(heapLast - heapFirst < MOST_HEAP_GROWTH_MB, `the heap grew from ${heapFirst} to ${heapLast} MB`);
      const [handlesFirst, handlesLast] = growth('handles');
      assert.equal(handlesLast, handlesFirst, 'handles are left open');
      const [timersFirst, timersLast] = growth('timers');
      // A timer or two for each board and client come and go.
      assert(timersLast < timersFirst + count + clients, `timers grew from ${timersFirst} to ${timersLast}`);
      const shown = (name: keyof Held) =>
        growth(name)
          .map((value) => value.toFixed(name === 'handles' ? 0 : 1))
          .join(' -> ');
      return {
        boards: count,
        'samples a second and board, asked': rateHz,
        'samples recorded a second, all boards': Math.round(samples / fedS),
        'samples missing': 0,
        clients,
        'frames to all clients': frames(),
        seconds: Math.round(fedS),
        'heap, MB': shown('heapMb'),
        'resident, MB': shown('rssMb'),
        timers: shown('timers'),
        'file handles': shown('handles'),
      };
    } finally {
      run.child.kill('SIGKILL');
      for (const { board } of boards) {
        board.pause();
        await board.unplug();
      }
      rmSync(folder, { recursive: true });
    }
  },
});
