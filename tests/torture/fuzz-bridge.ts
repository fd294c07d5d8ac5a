import assert from 'node:assert/strict';
import { once } from 'node:events';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import WebSocket from 'ws';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import type { MakeRun } from '../../bridge/session/make-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import type { RandomStream } from '../../bridge/simulate/random.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { builtTenwire, pageAddress } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { pageClient } from '../serve/page-client.ts';
import { until } from '../until.ts';
import { part } from './figures.ts';
import { damaged } from './mutate.ts';

/** Longer without a frame, and the second client counts as not served; frames come some ten times a second. */
const SERVED_WITHIN_MS = 30_000;

const pick = <Item>(random: RandomStream, items: readonly Item[]): Item =>
  items[Math.floor(items.length * random.uniform())];

/** The shipped bridge with a run that never ends, and a client that must go on being served, whatever another one does. */
async function withServedClient<Found>(
  work: (bridge: { port: number; folder: string }) => Promise<Found>,
): Promise<Found & { 'longest wait of the second client, ms': number }> {
  const folder = temporaryFolder();
  const run = builtTenwire().start(['demo', '--by-hand', '--http-port', '0'], { cwd: folder });
  try {
    const port = Number(new URL(await pageAddress(run, 120_000)).port);
    const second = await pageClient(port, { acks: true });
    second.send({ type: 'open', session: 'demo' });
    let lastMs = performance.now();
    let longestMs = 0;
    const note = () => {
      longestMs = Math.max(longestMs, performance.now() - lastMs);
      lastMs = performance.now();
    };
    second.socket.on('message', (data) => {
      if (data.toString().includes('"frame"')) note();
      second.heard.length = 0;
    });
    const found = await work({ port, folder });
    const before = lastMs;
    await until(() => lastMs > before, 'the second client is still served', SERVED_WITHIN_MS);
    assert.equal(second.socket.readyState, second.socket.OPEN, 'the second client was put out');
    assert.equal(run.child.exitCode, null, `the bridge ended: ${run.err()}`);
    assert(longestMs < SERVED_WITHIN_MS, `the second client waited ${Math.round(longestMs)} ms`);
    second.socket.terminate();
    return { ...found, 'longest wait of the second client, ms': Math.round(longestMs) };
  } finally {
    run.child.kill('SIGKILL');
    await run.ended;
    rmSync(folder, { recursive: true });
  }
}

const MESSAGES = [
  { type: 'open', session: 'demo' },
  { type: 'ack', frame: 3 },
  { type: 'event', request: 1, event: { kind: 'note', text: 'x' } },
  { type: 'event', request: 2, event: { kind: 'assign', null: 'n1', cell: 2, row: 7, set: 2 } },
  { type: 'event', request: 3, event: { kind: 'undo', event: 4 } },
  { type: 'event', request: 4, event: { kind: 'load', in: true, ohm: 10, uOhm: 0.1 } },
  { type: 'hand', order: { kind: 'press', down: true } },
  { type: 'play', playing: true, speed: 2, seekS: 5 },
].map((message) => JSON.stringify(message));

async function openSocket(port: number): Promise<WebSocket> {
  const socket = new WebSocket(`ws://127.0.0.1:${port}/live?role=steer&token=`, {
    origin: `http://127.0.0.1:${port}`,
  });
  socket.on('error', () => {});
  await Promise.race([once(socket, 'open'), once(socket, 'close')]);
  return socket;
}

/** Messages as they should not be; a socket that the bridge closes over it is opened anew. */
export const fuzzSockets = part({
  full: { messages: 100_000 },
  short: { messages: 1500 },
  run: ({ messages }, seed) =>
    withServedClient(async ({ port }) => {
      const random = randomStream(seed, 'fuzz-sockets');
      let socket = await openSocket(port);
      let sockets = 1;
      for (let sent = 0; sent < messages; sent += 1) {
        if (socket.readyState !== socket.OPEN) {
          socket = await openSocket(port);
          sockets += 1;
        }
        const text = random.uniform() < 0.02 ? 'x'.repeat(100_000) : damaged(random, pick(random, MESSAGES));
        socket.send(random.uniform() < 0.1 ? Buffer.from(text, 'latin1') : text);
        if (random.uniform() < 0.01) socket.terminate();
        if (sent % 50 === 0) await sleep(1);
      }
      socket.terminate();
      return { messages, 'sockets that it took': sockets };
    }),
});

interface Answer {
  ok: boolean;
  file?: string;
}

/** @param body one character a byte */
async function ask(port: number, path: string, body: string): Promise<Answer> {
  const response = await fetch(`http://127.0.0.1:${port}${path}`, {
    method: 'POST',
    body: new Uint8Array(Buffer.from(body, 'latin1')),
    headers: { Origin: `http://127.0.0.1:${port}` },
  });
  return (await response.json()) as Answer;
}

function shortRecording(): string {
  const lines = [RECORDING_HEADER];
  for (const record of simulateRun(DEFAULT_SCENE)) {
    lines.push(formatRecord(record));
    if (lines.length > 300) break;
  }
  return `${lines.join('\n')}\n`;
}

/** Many damages for one file, or only its first line would ever be hit. */
function damagedFile(random: RandomStream, text: string, most: number): string {
  const lines = text.split('\n');
  for (let times = Math.floor(most * random.uniform()); times >= 0; times -= 1) {
    const at = Math.floor(lines.length * random.uniform());
    lines[at] = damaged(random, lines[at]);
  }
  return lines.join('\n');
}

/** Read here as a report reads it: it is a recording or a fault, and nothing throws. */
async function readHere(path: string, text: string, makeRun: MakeRun): Promise<boolean> {
  writeFileSync(path, text, 'latin1');
  const read = await runFromRecording(path, makeRun);
  if (read.ok) read.run.view();
  return read.ok;
}

/** Damaged recordings read, dropped on the page and now and then asked for as a whole; damaged bench files saved. */
export const fuzzFiles = part({
  full: { files: 10_000, wholeEvery: 50 },
  short: { files: 60, wholeEvery: 30 },
  run: ({ files, wholeEvery }, seed) =>
    withServedClient(async ({ port, folder }) => {
      const random = randomStream(seed, 'fuzz-files');
      const makeRun = await runMaker();
      const recording = shortRecording();
      const bench = readFileSync('fixtures/bench-example.json', 'utf8');
      const figures = {
        recordings: 0,
        'of these taken in': 0,
        'shown as a whole': 0,
        'bench files': 0,
        'of these saved': 0,
      };
      for (let file = 0; file < files; file += 1) {
        const text = damagedFile(random, recording, 40);
        const reads = await readHere(join(folder, 'fuzz.rec'), text, makeRun);
        const dropped = await ask(port, '/api/drop?name=fuzz.rec', text);
        assert.equal(dropped.ok, reads, 'the bridge takes in what can be read, and nothing else');
        figures.recordings += 1;
        figures['of these taken in'] += dropped.ok ? 1 : 0;
        if (dropped.ok && file % wholeEvery === 0)
          figures['shown as a whole'] += (
            await ask(port, '/api/whole', JSON.stringify({ file: dropped.file }))
          ).ok
            ? 1
            : 0;
        const saved = await ask(
          port,
          '/api/save',
          `{"file":"fuzz.json","run":null,"bench":${damagedFile(random, bench, 2)}}`,
        );
        figures['bench files'] += 1;
        figures['of these saved'] += saved.ok ? 1 : 0;
      }
      return figures;
    }),
});
