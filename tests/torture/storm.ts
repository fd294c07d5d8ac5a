import assert from 'node:assert/strict';
import { mkdirSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { openRecording } from '../../bridge/recording/read.ts';
import type { RandomStream } from '../../bridge/simulate/random.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { MAX_LINE_BYTES } from '../../firmware-protocol/frames.ts';
import type { Running } from '../cli/tenwire.ts';
import { builtTenwire } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';
import { FedBoard } from './fed-board.ts';
import type { Figures } from './figures.ts';
import { part } from './figures.ts';

const RATE_HZ = 100;
const SPEED = 10;
/** The board's clock wraps at 2^32 microseconds: so long after the beginning. */
const WRAPS_AFTER_S = 5;
const TAP = resolve('tests/torture/read-tap.cjs');

interface Storm {
  board: FedBoard;
  run: Running;
  random: RandomStream;
}

type Accident = (storm: Storm) => Promise<void>;

const between = (random: RandomStream, least: number, most: number): number =>
  least + (most - least) * random.uniform();

const garbage = (random: RandomStream, bytes: number): string =>
  Array.from({ length: bytes }, () => String.fromCharCode(Math.floor(256 * random.uniform())))
    .join('')
    .replaceAll('\n', '!');

/** Shorter and longer than the silence after which a port is opened anew. */
const stall: Accident = async ({ run, random }) => {
  run.child.kill('SIGSTOP');
  await sleep(between(random, 100, 8000));
  run.child.kill('SIGCONT');
};

const replug: Accident = async ({ board, random }) => {
  await sleep(between(random, 100, 1500));
  if (random.uniform() < 0.5) board.reboot();
  await board.plugIn();
};

/** The usual loss of a link: nothing is under way when it goes. */
const hangUp: Accident = async (storm) => {
  storm.board.pause();
  await sleep(30);
  await storm.board.unplug();
  storm.board.begin();
  await replug(storm);
};

/** In the midst of a burst, a read is under way: that may leave the port open and silent for ever. */
const hangUpInFlood: Accident = async (storm) => {
  storm.board.send(garbage(storm.random, 100_000));
  await sleep(between(storm.random, 0, 10));
  await storm.board.unplug();
  await replug(storm);
};

const flood: Accident = async ({ board, random }) => {
  board.send(garbage(random, Math.round(between(random, 1000, 200_000))));
  board.send('\n');
};

const damage: Accident = async ({ board, random }) => {
  for (let line = 0; line < 20; line += 1)
    board.send(`S,${garbage(random, Math.round(between(random, 0, 200)))}\n`);
};

const reboot: Accident = async ({ board }) => board.reboot();

/** A stop of the bridge during which the board is pulled and comes back. */
const stalledHangUp: Accident = async (storm) => {
  await Promise.all([stall(storm), hangUp(storm)]);
};

const ACCIDENTS = { stall, hangUp, hangUpInFlood, flood, damage, reboot, stalledHangUp };

/** Lines as the wire format splits bytes, worked out apart from the bridge's own splitter. */
function linesOf(bytes: string): string[] {
  const lines = bytes.split('\n');
  if (lines.at(-1) === '') lines.pop();
  return lines.map((line) => line.slice(0, MAX_LINE_BYTES).replace(/\r$/, ''));
}

function recordedLines(path: string): string[] {
  const opened = openRecording(path);
  assert(opened.ok);
  const lines: string[] = [];
  for (const record of opened.reader.records) {
    assert(record !== 'unreadable', 'a line of the recording is none');
    if (record.mark === '<') lines.push(record.payload);
  }
  opened.reader.close();
  return lines;
}

/** What a recording's lines tell of the stream, counted apart from the program. */
function tally(lines: string[]) {
  const stream = { samples: 0, badLines: 0, lostSamples: 0 };
  let last: { seq: number; tUs: number } | null = null;
  for (const frame of lines.map((line) => decodeLine(line))) {
    if (frame.type === 'bad') stream.badLines += 1;
    if (frame.type !== 'S') continue;
    stream.samples += 1;
    const boot = last !== null && frame.seq < last.seq && frame.tUs < last.tUs;
    if (last !== null && !boot) stream.lostSamples += (frame.seq - last.seq - 1 + 0x10000) % 0x10000;
    last = frame;
  }
  return stream;
}

/** Accidents drawn at random, one after the other, until so much board time is over and each has come. */
async function rage(storm: Storm, boardS: number): Promise<Figures> {
  const counts: Record<string, number> = {};
  const names = Object.keys(ACCIDENTS) as (keyof typeof ACCIDENTS)[];
  for (let number = 0; number < names.length || storm.board.boardS < boardS; number += 1) {
    // Each comes once before chance decides.
    const name = names[number < names.length ? number : Math.floor(names.length * storm.random.uniform())];
    await ACCIDENTS[name](storm);
    counts[name] = (counts[name] ?? 0) + 1;
    assert.equal(storm.run.child.exitCode, null, `the bridge ended: ${storm.run.err()}`);
    await sleep(between(storm.random, 100, 2500));
  }
  return counts;
}

const bytesIn = (folder: string): number =>
  readdirSync(folder).reduce((bytes, name) => bytes + statSync(join(folder, name)).size, 0);

/** The bridge reads nothing more. It may go on asking a silent board who it is. */
async function untilAllIsRead(tap: string): Promise<void> {
  for (let bytes = -1; bytes !== bytesIn(tap); await sleep(3000)) bytes = bytesIn(tap);
}

/** One run through all that may happen to a link and to a computer, then every byte that the kernel gave held against the file. */
export const storm = part({
  full: { boardS: 3600 },
  short: { boardS: 10 },
  async run({ boardS }, seed) {
    const folder = temporaryFolder();
    const [port, path, tap] = ['port', 'storm.rec', 'tap'].map((name) => join(folder, name));
    mkdirSync(tap);
    const board = new FedBoard(port, {
      name: 'torture',
      rateHz: RATE_HZ,
      speed: SPEED,
      clockS: 2 ** 32 / 1e6 - WRAPS_AFTER_S,
    });
    await board.plugIn();
    const tenwire = builtTenwire();
    const args = ['--port', port, '--out', path, '--http-port', '0', '--temperature', 'unknown'];
    const run = tenwire.start(['run', ...args, '--bench', resolve('fixtures/bench-example.json')], {
      cwd: folder,
      env: { ...process.env, TENWIRE_TAP: tap },
      nodeFlags: ['--require', TAP],
    });
    try {
      await until(() => run.out().includes('recording:'), 'the run has begun', 120_000);
      board.begin();
      const accidents = await rage({ board, run, random: randomStream(seed, 'storm') }, boardS);
      board.pause();
      await untilAllIsRead(tap);
      run.child.kill('SIGTERM');
      await run.ended;
      const given = readdirSync(tap)
        .sort()
        .flatMap((name) => linesOf(readFileSync(join(tap, name), 'latin1')));
      const lines = recordedLines(path);
      assert.deepEqual(lines, given);
      const report = tenwire.run(['report', '--json', path]);
      const { stream } = JSON.parse(report.out);
      const { boots, ...counted } = stream;
      assert.deepEqual(counted, tally(lines));
      const missing = board.samples - counted.samples - counted.lostSamples;
      assert(missing >= 0, 'more samples than were taken');
      return {
        'board time, s': Math.round(board.boardS),
        ...accidents,
        'openings of the port': readdirSync(tap).length,
        'lines that the kernel gave': given.length,
        'of these not in the file': 0,
        ...counted,
        boots,
        'wraps of the clock': 1,
        'samples that a reboot hides, in no count': missing,
      };
    } finally {
      run.child.kill('SIGKILL');
      board.pause();
      await board.unplug();
      rmSync(folder, { recursive: true });
    }
  },
});
