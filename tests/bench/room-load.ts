import { appendFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { connectAsync } from 'mqtt';
import { formatRecord } from '../../bridge/recording/record.ts';
import { BrokerLink } from '../../bridge/room/broker-link.ts';
import { Collector } from '../../bridge/room/collector.ts';
import { CopiedRun } from '../../bridge/room/copied-run.ts';
import { Copies } from '../../bridge/room/copies.ts';
import { CHUNK_BYTES, chunkOf, jsonOf, readKept } from '../../bridge/room/messages.ts';
import { CHUNK_INTERVAL_MS, Outbox } from '../../bridge/room/outbox.ts';
import { readTopic, runTopic } from '../../bridge/room/topics.ts';
import { serve } from '../../bridge/serve/server.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { pageClient } from '../serve/page-client.ts';
import { Mosquitto } from '../torture/mosquitto.ts';
import { freePort } from '../torture/tcp-relay.ts';
import { until } from '../until.ts';
import { median } from './medians.ts';

/**
 * What a room of benches costs beside what it must: outbox and collector beside a bare MQTT publisher and subscriber with the same chunks, folding
 * beside folding the same files, and how long a line takes to the room. Through a real Mosquitto.
 */

const ROOM = 'bench';
const BENCHES = 16;
const MB = 1e6;

/** A room takes in so many runs of one station and no more. */
const stationOf = (index: number): string => `station-${Math.floor(index / 100)}`;

export async function roomLoad(): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-room-load-'));
  const mosquitto = new Mosquitto(await freePort());
  await mosquitto.start();
  try {
    const recording = recordedAt1Khz();
    return [
      await carrying(folder, mosquitto.port, recording),
      await folding(folder, recording),
      await lag(folder, mosquitto.port, recording),
      ...(await steps(folder, mosquitto.port, recording)),
    ];
  } finally {
    await mosquitto.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A simulated run of a board at 1 kHz. */
function recordedAt1Khz(): Buffer {
  let text = '#tenwire-recording 1\n';
  for (const record of simulateRun(sceneWith({ board: { rateHz: 1000 } })))
    text += `${formatRecord(record)}\n`;
  return Buffer.from(text);
}

/** Seconds from the start of a recording to its last line. */
const lastSecondOf = (recording: Buffer): number =>
  Number(recording.toString('latin1').trimEnd().split('\n').at(-1)?.split(' ')[0]) / 1000;

const cpuMs = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

/** A collector at a broker, and what it keeps. */
async function openCollector(
  folder: string,
  port: number,
  told: (run: string, bytes: number) => void = () => {},
) {
  const copies = new Copies(folder);
  const kept = new Map<string, number>();
  const collector = new Collector(ROOM, copies, {
    kept: (place, word) => {
      kept.set(place.run, word.bytes);
      told(place.run, word.bytes);
      link.publish(runTopic(ROOM, place, 'kept'), jsonOf(word), { retain: true });
    },
    summary: () => {},
    station: () => {},
    trouble: (_, text) => console.error(text),
  });
  const link = linkTo(port, [`tenwire/${ROOM}/+/+/chunk`], (topic, payload) =>
    collector.heard(topic, payload),
  );
  await until(() => link.isUp, 'the collector');
  const close = async () => {
    await collector.close();
    await link.close();
  };
  return { kept, close };
}

const linkTo = (port: number, hears: string[], heard: (topic: string, payload: Buffer) => void): BrokerLink =>
  new BrokerLink({
    ...{ broker: `mqtt://127.0.0.1:${port}`, ca: null, logins: [], hears, heard, refused: '' },
    will: { topic: 'nothing', payload: Buffer.from('x') },
    turned: () => {},
    trouble: () => {},
  });

/** Stations that share one connection, each with one recording. */
async function openOutboxes(port: number, paths: string[]) {
  const outboxes = new Map<string, Outbox>();
  const link = linkTo(port, [`tenwire/${ROOM}/+/+/kept`], (topic, payload) => {
    const place = readTopic(ROOM, topic);
    const kept = readKept(payload);
    if (place?.what === 'kept' && kept !== null) outboxes.get(place.run)?.heard(kept);
  });
  await until(() => link.isUp, 'the stations');
  paths.forEach((path, index) => {
    const run = `run-${index}`;
    const outbox = new Outbox(
      path,
      (chunk) => link.publish(runTopic(ROOM, { station: stationOf(index), run }, 'chunk'), chunkOf(chunk)),
      () => {},
    );
    outboxes.set(run, outbox);
    outbox.turn(true);
  });
  const close = async () => {
    for (const outbox of outboxes.values()) await outbox.close();
    await link.close();
  };
  return { close };
}

function copiesOf(folder: string, count: number, bytes: Buffer): string[] {
  mkdirSync(folder, { recursive: true });
  return Array.from({ length: count }, (_, index) => {
    const path = join(folder, `run-${index}.rec`);
    writeFileSync(path, bytes);
    return path;
  });
}

async function carrying(folder: string, port: number, recording: Buffer): Promise<string> {
  const paths = copiesOf(join(folder, 'carry'), BENCHES, recording);
  const total = recording.length * BENCHES;
  const ratios: number[] = [];
  for (let round = 0; round < 3; round += 1) {
    const bare = await bareCpuMs(port, recording);
    const copies = join(folder, `carried-${round}`);
    const collector = await openCollector(copies, port);
    const began = cpuMs();
    const stations = await openOutboxes(port, paths);
    const isThere = () => [...collector.kept.values()].reduce((sum, bytes) => sum + bytes, 0) >= total;
    await until(isThere, 'all recordings', 300_000);
    ratios.push((cpuMs() - began) / bare);
    await stations.close();
    await collector.close();
    await clearKept(port);
  }
  ratios.sort((one, other) => one - other);
  return `outbox and collector: ${ratios[1].toFixed(2)} times a bare publisher and subscriber with the same chunks (limit 4; ${BENCHES} recordings, ${(total / MB).toFixed(0)} MB, hashed twice and synced)`;
}

/** What is retained would tell the next round that all is there. */
async function clearKept(port: number, count = BENCHES): Promise<void> {
  const client = await connectAsync(`mqtt://127.0.0.1:${port}`);
  for (let index = 0; index < count; index += 1)
    await client.publishAsync(
      runTopic(ROOM, { station: stationOf(index), run: `run-${index}` }, 'kept'),
      '',
      {
        qos: 1,
        retain: true,
      },
    );
  await client.endAsync();
}

async function bareCpuMs(port: number, recording: Buffer): Promise<number> {
  const [from, to] = [
    await connectAsync(`mqtt://127.0.0.1:${port}`),
    await connectAsync(`mqtt://127.0.0.1:${port}`),
  ];
  let heard = 0;
  to.on('message', (_, payload) => {
    heard += payload.length;
  });
  await to.subscribeAsync('bare/+', { qos: 1 });
  const began = cpuMs();
  for (let bench = 0; bench < BENCHES; bench += 1)
    for (let at = 0; at < recording.length; at += CHUNK_BYTES) {
      await from.publishAsync(`bare/${bench}`, recording.subarray(at, at + CHUNK_BYTES), { qos: 1 });
    }
  await until(() => heard === BENCHES * recording.length, 'all chunks');
  const spent = cpuMs() - began;
  await from.endAsync();
  await to.endAsync();
  return spent;
}

async function folding(folder: string, recording: Buffer): Promise<string> {
  const [path] = copiesOf(join(folder, 'fold'), 1, recording);
  const makeRun = await runMaker();
  const ratios: number[] = [];
  const foldMs: number[] = [];
  for (let round = 0; round < 5; round += 1) {
    const began = cpuMs();
    await runFromRecording(path, makeRun);
    const file = cpuMs() - began;
    const copied = new CopiedRun('fold', 'fold', path, makeRun);
    let ended = false;
    copied.onEnded(() => {
      ended = true;
    });
    const start = cpuMs();
    for (let at = CHUNK_BYTES; at < recording.length + CHUNK_BYTES; at += CHUNK_BYTES) {
      copied.grown(Math.min(at, recording.length));
      await sleep(0);
    }
    while (!ended) {
      copied.endAt(recording.length);
      await sleep(0);
    }
    ratios.push((cpuMs() - start) / file);
    foldMs.push(cpuMs() - start);
  }
  ratios.sort((one, other) => one - other);
  const boardMs = 1000 * lastSecondOf(recording);
  const folds = (5 * boardMs) / median(foldMs);
  return `folding what comes in chunks: ${ratios[2].toFixed(2)} times folding the same file (limit 1.5); a core carries ${folds.toFixed(0)} live benches at 200 Hz`;
}

/**
 * From a line in a bench's recording until the room has it on its disk, and until the frame with it has come to a page that watches that
 * bench; all benches are folded meanwhile.
 */
async function lag(folder: string, port: number, recording: Buffer): Promise<string> {
  const paths = copiesOf(join(folder, 'lag'), BENCHES, recording.subarray(0, 0));
  const makeRun = await runMaker();
  const sessions = sessionRegistry();
  const runs = new Map<string, CopiedRun>();
  const disk = new Waits();
  const page = new Waits();
  const collector = await openCollector(join(folder, 'lagged'), port, (run, bytes) => {
    if (!runs.has(run)) {
      runs.set(run, new CopiedRun(run, run, pathOf(join(folder, 'lagged'), run), makeRun));
      sessions.add(runs.get(run) as CopiedRun);
    }
    runs.get(run)?.grown(bytes);
    disk.reached(run, bytes);
  });
  const served = await serve({ sessions, pageFolder: resolve('dist/web'), port: 0, listen: null });
  if (!served.ok) throw new Error(served.text);
  const stations = await openOutboxes(port, paths);
  const perTick = Math.ceil((recording.length / 200) * 0.02);
  let at = 0;
  const writer = setInterval(() => {
    const part = recording.subarray(at, at + perTick);
    at += perTick;
    paths.forEach((path, index) => {
      appendFileSync(path, part);
      disk.began(`run-${index}`, at);
    });
    page.began(WATCHED, lastTimeS(part));
  }, 20);
  await until(() => runs.has(WATCHED), 'the watched run');
  const client = await pageClient(served.server.port, { acks: true });
  client.send({ type: 'open', session: WATCHED });
  client.socket.on('message', () => {
    const now = client.heard.at(-1);
    if (now?.type === 'frame' && now.now) page.reached(WATCHED, now.now.atS);
  });
  await sleep(20_000);
  clearInterval(writer);
  const isWhole = () =>
    paths.every((path, index) => collector.kept.get(`run-${index}`) === readFileSync(path).length);
  await until(isWhole, 'every line at the room');
  client.socket.terminate();
  await served.server.close();
  await stations.close();
  await collector.close();
  for (const run of runs.values()) run.close();
  await clearKept(port);
  const bareMs = await bareLagMs(port);
  const limit = `limit ${(CHUNK_INTERVAL_MS + 5 * bareMs).toFixed(0)} ms: chunks go every ${CHUNK_INTERVAL_MS} ms, and a bare program takes ${bareMs.toFixed(1)} ms at p99`;
  return `${BENCHES} benches at 1 kHz, folded: every line at the room; from a line in a recording to the room's disk ${disk}, to a page that watches ${page} (${limit})`;
}

const WATCHED = 'run-0';
const pathOf = (folder: string, run: string): string => join(folder, `station-0--${run}.rec`);

/** Board time in s of the last sample in a part of a recording that begins at the board's start. */
function lastTimeS(part: Buffer): number {
  const times = [...part.toString('latin1').matchAll(/< S,\d+,(\d+),/g)].map(([, tUs]) => Number(tUs) / 1e6);
  return times.at(-1) ?? 0;
}

/** How long it takes from when a mark was set until it is reached. */
class Waits {
  readonly #marks = new Map<string, { mark: number; atMs: number }[]>();
  readonly #waits: number[] = [];

  began(run: string, mark: number): void {
    const marks = this.#marks.get(run) ?? [];
    marks.push({ mark, atMs: performance.now() });
    this.#marks.set(run, marks);
  }

  reached(run: string, mark: number): void {
    const marks = this.#marks.get(run) ?? [];
    while (marks.length > 0 && marks[0].mark <= mark)
      this.#waits.push(performance.now() - (marks.shift()?.atMs ?? 0));
  }

  toString(): string {
    const sorted = this.#waits.sort((one, other) => one - other);
    const at = (share: number) => sorted[Math.floor(share * sorted.length)].toFixed(0);
    return `${at(0.5)} ms, p99 ${at(0.99)} ms`;
  }
}

/** From publishing to hearing, with as many messages of a chunk's length at once as there are benches. */
async function bareLagMs(port: number): Promise<number> {
  const [from, to] = [
    await connectAsync(`mqtt://127.0.0.1:${port}`),
    await connectAsync(`mqtt://127.0.0.1:${port}`),
  ];
  const waits: number[] = [];
  to.on('message', (_, payload) => waits.push(performance.now() - payload.readDoubleBE(0)));
  await to.subscribeAsync('bare/+', { qos: 1 });
  for (let turn = 0; turn < 20; turn += 1) {
    for (let bench = 0; bench < BENCHES; bench += 1) {
      const payload = Buffer.alloc(CHUNK_BYTES);
      payload.writeDoubleBE(performance.now(), 0);
      from.publish(`bare/${bench}`, payload, { qos: 1 });
    }
    await sleep(CHUNK_INTERVAL_MS);
  }
  await until(() => waits.length === 20 * BENCHES, 'all messages');
  await from.endAsync();
  await to.endAsync();
  waits.sort((one, other) => one - other);
  return waits[Math.floor(0.99 * waits.length)];
}

/** More and more benches at 200 Hz, without folding, until the room falls behind. */
async function steps(folder: string, port: number, recording: Buffer): Promise<string[]> {
  const said: string[] = [];
  for (const count of [100, 300, 1000]) {
    const paths = copiesOf(join(folder, `step-${count}`), count, recording.subarray(0, 0));
    const collector = await openCollector(join(folder, `stepped-${count}`), port);
    const stations = await openOutboxes(port, paths);
    const began = { cpu: cpuMs(), at: performance.now() };
    const perSecond = Math.ceil(recording.length / 200 / 5);
    let at = 0;
    for (let second = 0; second < 10; second += 1) {
      const next = performance.now() + 1000;
      for (const path of paths) appendFileSync(path, recording.subarray(at, at + perSecond));
      at += perSecond;
      await sleep(Math.max(0, next - performance.now()));
    }
    const spent = (cpuMs() - began.cpu) / (performance.now() - began.at);
    const behind = paths.map((_, index) => at - (collector.kept.get(`run-${index}`) ?? 0));
    const worstS = Math.max(...behind) / perSecond;
    said.push(
      `${count} benches at 200 Hz: ${(100 * spent).toFixed(0)} % of a core for stations and room together, the last ${worstS.toFixed(1)} s behind`,
    );
    await stations.close();
    await collector.close();
    await clearKept(port, count);
  }
  return said;
}
