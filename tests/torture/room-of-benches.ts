import assert from 'node:assert/strict';
import { randomBytes } from 'node:crypto';
import { appendFileSync, existsSync, mkdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { connectAsync } from 'mqtt';
import { chunkOf } from '../../bridge/room/messages.ts';
import { Station } from '../../bridge/room/station.ts';
import { stationLogins } from '../../bridge/room/station-credential.ts';
import { runTopic } from '../../bridge/room/topics.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { builtTenwire, type Running } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';
import { part } from './figures.ts';
import { Mosquitto } from './mosquitto.ts';
import { freePort, TcpRelay } from './tcp-relay.ts';

const ROOM = 'torture';
const TOKEN = 'torture-token';
const ALL_THERE_MS = 120_000;
const MOST_BYTES_AT_ONCE = 60_000;

interface World {
  folder: string;
  /** Of the broker; stations reach it through the relay. */
  port: number;
  relay: TcpRelay;
  /** Null where the room has a broker of its own. */
  mosquitto: Mosquitto | null;
  room: Running | null;
  stations: { name: string; home: string; path: string; station: Station | null }[];
  random: ReturnType<typeof randomStream>;
  accidents: Record<string, number>;
}

/**
 * A room and its stations through accidents at drawn moments: broker killed, network cut, room killed with -9, stations gone and back,
 * chunks sent again, out of order and with offsets that lie. In the end every copy is byte for byte the station's recording.
 */
export const roomOfBenches = part({
  full: { accidents: 120, stations: 8 },
  short: { accidents: 9, stations: 3 },
  run: async ({ accidents, stations }, seed) => {
    const own = await through('own broker', accidents, stations, seed);
    const mosquitto = await through('Mosquitto', accidents, stations, seed + 1);
    return { 'its own broker': own, 'a real Mosquitto': mosquitto };
  },
});

async function through(broker: string, accidents: number, stations: number, seed: number): Promise<string> {
  const folder = temporaryFolder();
  const port = await freePort();
  const world: World = {
    folder,
    port,
    relay: await TcpRelay.open(port),
    mosquitto: broker === 'Mosquitto' ? new Mosquitto(port) : null,
    room: null,
    stations: Array.from({ length: stations }, (_, index) => newStation(folder, index)),
    random: randomStream(seed, broker),
    accidents: {},
  };
  let writing: NodeJS.Timeout | null = null;
  try {
    await world.mosquitto?.start();
    await startRoom(world);
    for (const one of world.stations) joinRoom(world, one);
    writing = setInterval(() => writeSome(world), 20);
    for (let count = 0; count < accidents; count += 1) {
      await sleep(100 + 700 * world.random.uniform());
      await accident(world);
    }
    clearInterval(writing);
    for (const one of world.stations) if (one.station === null) joinRoom(world, one);
    await until(() => world.stations.every((one) => isSame(world, one)), 'all copies', ALL_THERE_MS).catch(
      (error) => {
        throw new Error(
          `${broker}: ${missing(world)}; ${JSON.stringify(world.accidents)}; ${world.room?.err()}`,
          { cause: error },
        );
      },
    );
    const bytes = world.stations.reduce((sum, { path }) => sum + statSync(path).size, 0);
    const said = Object.entries(world.accidents).map(([what, times]) => `${times} times ${what}`);
    return `${stations} recordings of ${(bytes / 1e6).toFixed(1)} MB whole after ${said.join(', ')}`;
  } finally {
    if (writing !== null) clearInterval(writing);
    await Promise.all(world.stations.map(({ station }) => station?.close()));
    await endRoom(world, 'SIGKILL');
    await world.mosquitto?.stop();
    await world.relay.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

function newStation(folder: string, index: number): World['stations'][number] {
  const home = join(folder, `home-${index}`);
  mkdirSync(home);
  const path = join(home, `run-${index}.rec`);
  appendFileSync(path, '#tenwire-recording 1\n');
  return { name: `bench-${index}`, home, path, station: null };
}

function joinRoom({ relay }: World, one: World['stations'][number]): void {
  const url = { broker: `mqtt://127.0.0.1:${relay.port}`, room: ROOM };
  const logins = stationLogins(one.home, url, one.name, {
    user: null,
    password: null,
    token: TOKEN,
    ca: null,
  });
  one.station = new Station({ url, name: one.name, logins, ca: null, note: () => {} });
  one.station.send(one.path);
}

async function startRoom(world: World): Promise<void> {
  const { folder, port, mosquitto } = world;
  const broker =
    mosquitto === null ? ['--mqtt-port', String(port)] : ['--broker', `mqtt://127.0.0.1:${port}`];
  const args = ['room', '--name', ROOM, '--home', join(folder, 'room'), '--http-port', '0', ...broker];
  const room = builtTenwire().start(args, { env: { ...process.env, TENWIRE_ROOM_TOKEN: TOKEN } });
  world.room = room;
  await until(() => /class board/.test(room.out()) || room.child.exitCode !== null, 'the room');
  assert.equal(room.child.exitCode, null, room.err());
}

async function endRoom({ room }: World, signal: NodeJS.Signals): Promise<void> {
  if (room === null) return;
  room.child.kill(signal);
  await room.ended;
}

function writeSome({ stations, random }: World): void {
  for (const { path } of stations) {
    if (random.uniform() < 0.5) continue;
    const bytes = Math.floor(random.uniform() ** 6 * MOST_BYTES_AT_ONCE) + 1;
    appendFileSync(path, `${randomBytes(bytes).toString('base64')}\n`);
  }
}

const copyOf = ({ folder }: World, { name, path }: World['stations'][number]): string =>
  join(folder, 'room', 'rooms', ROOM, `${name}--${path.split('/').at(-1)}`);

function isSame(world: World, one: World['stations'][number]): boolean {
  const copy = copyOf(world, one);
  return (
    existsSync(copy) &&
    statSync(copy).size === statSync(one.path).size &&
    readFileSync(copy).equals(readFileSync(one.path))
  );
}

const missing = (world: World): string =>
  `every copy the same as its recording: ${world.stations
    .map(
      (one) =>
        `${one.name} ${statSync(one.path).size}, copy ${existsSync(copyOf(world, one)) ? statSync(copyOf(world, one)).size : 'none'}`,
    )
    .join('; ')}`;

async function accident(world: World): Promise<void> {
  const names = Object.keys(ACCIDENTS).filter((name) => world.mosquitto !== null || name !== 'broker killed');
  const name = names[Math.floor(world.random.uniform() * names.length)];
  world.accidents[name] = (world.accidents[name] ?? 0) + 1;
  await ACCIDENTS[name](world);
}

const ACCIDENTS: Record<string, (world: World) => Promise<void>> = {
  'network cut': async ({ relay, random }) => {
    relay.cut(true);
    await sleep(1500 * random.uniform());
    relay.cut(false);
  },
  'room killed with -9': async (world) => {
    await endRoom(world, 'SIGKILL');
    await startRoom(world);
  },
  'broker killed': async ({ mosquitto }) => {
    await mosquitto?.stop('SIGKILL');
    await mosquitto?.start();
  },
  'station gone and back': async (world) => {
    const one = world.stations[Math.floor(world.random.uniform() * world.stations.length)];
    const { station } = one;
    one.station = null;
    await station?.close();
    joinRoom(world, one);
  },
  'odd chunks sent': async (world) => {
    const one = world.stations[Math.floor(world.random.uniform() * world.stations.length)];
    await sendOddChunks(world, one).catch(() => {});
  },
};

/** By the station's own right: what is there already, what comes too early, and offsets and hashes that lie. */
async function sendOddChunks(
  { port, random }: World,
  { home, name, path }: World['stations'][number],
): Promise<void> {
  const url = { broker: `mqtt://127.0.0.1:${port}`, room: ROOM };
  const [{ user, password }] = stationLogins(home, url, name, {
    ...{ user: null, password: null, token: TOKEN, ca: null },
  }).slice(-1);
  const client = await connectAsync(url.broker, { username: user, password, reconnectPeriod: 0 });
  const recording = readFileSync(path);
  const run = path.split('/').at(-1)?.replace('.rec', '') ?? '';
  for (let count = 0; count < 5; count += 1) {
    const offset = Math.floor(random.uniform() * 2 * recording.length);
    const bytes = Buffer.concat([recording.subarray(offset, offset + 500), randomBytes(20)]);
    const chunk = chunkOf({ v: 1, copy: 1, offset, before: randomBytes(32).toString('hex'), bytes });
    await client.publishAsync(runTopic(ROOM, { station: name, run }, 'chunk'), chunk, { qos: 1 });
  }
  await client.endAsync();
}
