import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { Copies } from '../../bridge/room/copies.ts';
import { type OwnBroker, openOwnBroker } from '../../bridge/room/own-broker.ts';
import { Room } from '../../bridge/room/room.ts';
import { Station } from '../../bridge/room/station.ts';
import { stationLogins } from '../../bridge/room/station-credential.ts';
import { StationSecrets } from '../../bridge/room/station-secrets.ts';
import { type MakeRun, runMaker } from '../../bridge/session/make-run.ts';
import { openSession } from '../../bridge/session/open-session.ts';
import { PacedSource } from '../../bridge/session/paced-source.ts';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { type ScenePatch, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { Mosquitto } from '../torture/mosquitto.ts';
import { freePort } from '../torture/tcp-relay.ts';

const TOKEN = 'the-token';
const NAME = 'physics';

async function ownBroker(folder: string, port: number): Promise<OwnBroker> {
  const secrets = new StationSecrets(join(folder, 'stations.json'));
  const opened = await openOwnBroker({ room: NAME, address: '127.0.0.1', port, token: TOKEN, secrets });
  if (!opened.ok) throw new Error(opened.text);
  return opened.broker;
}

/** A broker, rooms and stations in one process, all of them real. */
export class Classroom {
  readonly folder: string;
  readonly notes: string[] = [];
  readonly #makeRun: MakeRun;
  #broker: Pick<OwnBroker, 'port' | 'login' | 'close'>;
  readonly #closes: (() => Promise<void>)[] = [];

  private constructor(makeRun: MakeRun, folder: string, broker: Pick<OwnBroker, 'port' | 'login' | 'close'>) {
    this.#makeRun = makeRun;
    this.folder = folder;
    this.#broker = broker;
  }

  static async open(): Promise<Classroom> {
    const folder = temporaryFolder();
    return new Classroom(await runMaker(), folder, await ownBroker(folder, 0));
  }

  stopBroker(): Promise<void> {
    return this.#broker.close();
  }

  async startBroker(port: number): Promise<void> {
    this.#broker = await ownBroker(this.folder, port);
  }

  /** At a real Mosquitto, which lets everybody in. */
  static async atMosquitto(): Promise<Classroom> {
    const mosquitto = new Mosquitto(await freePort());
    await mosquitto.start();
    const login = { user: 'anybody', password: '' };
    return new Classroom(await runMaker(), temporaryFolder(), {
      ...{ port: mosquitto.port, login },
      close: () => mosquitto.stop(),
    });
  }

  get address(): string {
    return `mqtt://127.0.0.1:${this.#broker.port}`;
  }

  /** By which the room comes in. */
  get login(): OwnBroker['login'] {
    return this.#broker.login;
  }

  room(folder = 'copies', options: { mostOpen?: number } = {}) {
    const sessions = sessionRegistry();
    const room = new Room({
      ...{ name: NAME, broker: this.address, ca: null, logins: [this.#broker.login], sessions },
      copies: new Copies(join(this.folder, folder)),
      makeRun: this.#makeRun,
      note: (text) => this.notes.push(text),
      ...options,
    });
    let isClosed = false;
    const close = async () => {
      if (!isClosed) await room.close();
      isClosed = true;
    };
    this.#closes.push(close);
    return { room, sessions, close };
  }

  /** A simulated run, recorded and in no room yet. */
  async run(name: string, patch: ScenePatch = {}, speed = 60): Promise<RunSession> {
    const scene = sceneWith(patch);
    const opened = await openSession({
      ...{ id: name, title: scene.bench.name, kind: 'simulated', begin: 'create', opening: [] },
      source: new PacedSource('simulated', simulateRun(scene), speed),
      path: join(this.folder, `${name}.rec`),
      makeRun: this.#makeRun,
    });
    if (!opened.ok) throw new Error(opened.text);
    return opened.session;
  }

  /** A computer in the room, with the runs of its boards. Answers the way to close it. */
  station(name: string, runs: readonly RunSession[]): () => Promise<void> {
    const sessions = sessionRegistry();
    for (const run of runs) sessions.add(run);
    const url = { broker: this.address, room: NAME };
    const logins = stationLogins(join(this.folder, `home-${name}`), url, name, {
      ...{ user: null, password: null, ca: null, token: TOKEN },
    });
    const station = new Station({ url, name, logins, ca: null, note: () => {} });
    station.follow(sessions);
    let isClosed = false;
    const close = async () => {
      if (isClosed) return;
      isClosed = true;
      await Promise.all(runs.map((run) => run.close()));
      await station.close();
    };
    this.#closes.push(close);
    return close;
  }

  async bench(name: string, patch: ScenePatch = {}, speed = 60) {
    const session = await this.run(name, patch, speed);
    return { session, close: this.station(name, [session]) };
  }

  async close(): Promise<void> {
    for (const close of this.#closes.reverse()) await close();
    await this.#broker.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
