import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import WebSocket from 'ws';
import { INVENTED_BENCH, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { launchChromium } from '../end-to-end/browser.ts';
import { type Pty, plugIn } from '../serial/pty.ts';
import { until } from '../until.ts';

/**
 * CPU of the process that listens, for each line of 16 boards at 1 kHz with 20 clients that acknowledge, one of them Chromium:
 * the built program, and a bare program of serialport, readline, append and ws, in turns. LINE_COST_NODE_FLAGS are flags for the
 * built program's Node, such as --cpu-prof.
 */

const BOARDS = 16;
const CLIENTS = 20;
const RATE_HZ = 1000;
/** Of the simulated run: its hand works the bench by then. */
const SECONDS = 40;
const ROUNDS = 3;
/** On a busy machine lines wait in the pseudo-terminals; they are all counted in the end. */
const PATIENCE_MS = 300_000;

interface Listening {
  child: ChildProcess;
  /** The WebSocket of a client that watches one board. */
  watch(board: number): WebSocket;
  /** What Chromium opens. */
  page: string;
  /** Lines of samples that have come so far. */
  lines(): Promise<number>;
}

/** Lines of a bench at work, without those by which the board introduces itself. */
function linesOfBoard(): { introduction: string; samples: string[] } {
  const all: string[] = [];
  for (const { mark, payload } of simulateRun(sceneWith({ board: { rateHz: RATE_HZ } }))) {
    if (mark === '<') all.push(`${payload}\n`);
    if (all.length > RATE_HZ * SECONDS) break;
  }
  return {
    introduction: all.filter((line) => /^[HC],/.test(line)).join(''),
    samples: all.filter((line) => line.startsWith('S,')),
  };
}

/** CPU seconds of a process so far, from the kernel: user and system time in ticks of 10 ms. */
function cpuSeconds(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

function firstMatch(child: ChildProcess, pattern: RegExp): Promise<string> {
  return new Promise((found, failed) => {
    let said = '';
    child.stdout?.on('data', (text) => {
      said += text;
      const match = pattern.exec(said);
      if (match !== null) found(match[1]);
    });
    child.once('exit', () => failed(new Error(`ended before it listened: ${said}`)));
  });
}

async function ours(folder: string, boards: Pty[]): Promise<Listening> {
  const flags = (process.env.LINE_COST_NODE_FLAGS ?? '').split(' ').filter(Boolean);
  const cli = resolve('dist/bridge/cli.js');
  const child = spawn(process.execPath, [...flags, cli, 'serve', '--http-port', '0'], { cwd: folder });
  const address = await firstMatch(child, /page: (\S+)/);
  const post = async (name: string, asked: unknown) => {
    const headers = { Origin: address.slice(0, -1) };
    const body = JSON.stringify(asked);
    const answer = await (await fetch(`${address}api/${name}`, { method: 'POST', headers, body })).json();
    if (!answer.ok) throw new Error(answer.text);
    return answer;
  };
  mkdirSync(join(folder, 'benches'));
  writeFileSync(join(folder, 'benches', 'b.json'), JSON.stringify(INVENTED_BENCH));
  const runs: string[] = [];
  for (const { path } of boards) {
    const order = { port: path, baud: 115_200, file: 'b.json', by: [], temperatureC: null };
    runs.push((await post('start', { ...order, procedure: 'emf-comparison' })).session);
  }
  const samples = runs.map(() => 0);
  const watch = (board: number) => {
    const socket = new WebSocket(`${address.replace('http', 'ws')}live?role=watch`, {
      origin: address.slice(0, -1),
    });
    socket.on('message', (data) => {
      const message = JSON.parse(String(data));
      if (message.type === 'welcome') socket.send(JSON.stringify({ type: 'open', session: runs[board] }));
      if (message.type !== 'frame') return;
      socket.send(JSON.stringify({ type: 'ack', frame: message.frame }));
      if (message.view !== undefined) samples[board] = message.view.stream.samples;
      for (const [path, value] of message.changes ?? [])
        if (path.join() === 'stream,samples') samples[board] = value;
    });
    return socket;
  };
  const lines = async () => samples.reduce((sum, count) => sum + count, 0);
  return { child, watch, page: address, lines };
}

async function bare(folder: string, boards: Pty[]): Promise<Listening> {
  const program = resolve('tests/bench/bare-bridge.mjs');
  const child = spawn(process.execPath, [program, folder, ...boards.map(({ path }) => path)]);
  const port = await firstMatch(child, /^(\d+)\n/);
  const address = `http://127.0.0.1:${port}/`;
  let counted = 0;
  child.stdout?.on('data', (text) => {
    counted = Number(String(text).trim().split('\n').at(-1));
  });
  return {
    child,
    page: address,
    watch(board) {
      const socket = new WebSocket(`ws://127.0.0.1:${port}/${board}`);
      socket.on('message', () => socket.send('taken'));
      return socket;
    },
    async lines() {
      child.stdin?.write('?\n');
      await sleep(50);
      return counted;
    },
  };
}

/** Sends the lines of all boards at their rate. */
async function feed(boards: Pty[], samples: string[]): Promise<void> {
  const began = performance.now();
  for (let sent = 0; sent < samples.length; ) {
    const due = Math.min(samples.length, Math.floor(((performance.now() - began) * RATE_HZ) / 1000));
    if (due > sent) {
      const chunk = samples.slice(sent, due).join('');
      for (const board of boards) board.send(chunk);
      sent = due;
    }
    await sleep(4);
  }
}

/** Microseconds of CPU a line. */
async function costOf(start: (folder: string, boards: Pty[]) => Promise<Listening>): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-line-cost-'));
  const { introduction, samples } = linesOfBoard();
  const browser = await launchChromium();
  const boards = await Promise.all(
    Array.from({ length: BOARDS }, (_, board) => plugIn(join(folder, `board-${board}`))),
  );
  const listening = await start(folder, boards);
  const { child, watch, page, lines } = listening;
  try {
    const sockets = Array.from({ length: CLIENTS - 1 }, (_, client) => watch(client % BOARDS));
    await (await browser.newPage({ locale: 'en-US' })).goto(page);
    for (const board of boards) board.send(introduction);
    await sleep(3000);
    const before = await lines();
    const cpuBefore = cpuSeconds(child.pid ?? 0);
    await feed(boards, samples);
    let now = 0;
    const look = setInterval(() => void lines().then((count) => (now = count)), 100);
    await until(() => now - before >= BOARDS * samples.length * 0.999, 'every line has come', PATIENCE_MS);
    clearInterval(look);
    const cpuS = cpuSeconds(child.pid ?? 0) - cpuBefore;
    for (const socket of sockets) socket.terminate();
    return (1e6 * cpuS) / (now - before);
  } finally {
    await browser.close();
    child.removeAllListeners('exit');
    const ended = new Promise((done) => child.once('exit', done));
    child.kill('SIGINT');
    await ended;
    for (const board of boards) await board.unplug();
    rmSync(folder, { recursive: true, force: true });
  }
}

const median = (values: number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1];

/** Lines for `npm run bench -- line`. */
export async function lineCost(): Promise<string[]> {
  const turns: { ours: number; bare: number }[] = [];
  for (let round = 0; round < ROUNDS; round += 1)
    turns.push({ ours: await costOf(ours), bare: await costOf(bare) });
  const ratio = median(turns.map((turn) => turn.ours / turn.bare));
  const [own, least] = [median(turns.map((turn) => turn.ours)), median(turns.map((turn) => turn.bare))];
  return [
    `CPU a line, ${BOARDS} boards at ${RATE_HZ} Hz, ${CLIENTS} clients: ${own.toFixed(1)} us, bare program ${least.toFixed(1)} us`,
    `ratio ${ratio.toFixed(2)} (at most 3; median of ${ROUNDS} turns of ${SECONDS} s)`,
  ];
}
