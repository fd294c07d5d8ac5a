import { randomBytes } from 'node:crypto';
import { createServer, type Socket } from 'node:net';
import { Duplex } from 'node:stream';
import { Aedes, type Client } from 'aedes';
import { isSameSecret } from '../serve/access.ts';
import { listenOnFreePort } from '../serve/listen.ts';
import type { LinkLogin } from './broker-link.ts';
import { PacketLengths } from './packet-lengths.ts';
import { readPassword } from './station-credential.ts';
import type { StationSecrets } from './station-secrets.ts';
import { isRoomName, mayPublish, maySubscribe } from './topics.ts';

/**
 * The room's own broker (MQTT 3.1.1), for a class that has no other. Whoever knows the room's token pairs a station; from then on
 * the station's own secret opens what is under its name, and nothing else.
 */

export interface OwnBrokerOptions {
  room: string;
  /** Address to listen on. */
  address: string;
  /** The next free port is taken; 0: any. */
  port: number;
  token: string;
  secrets: StationSecrets;
}

export interface OwnBroker {
  port: number;
  /** By which the room itself comes in. */
  login: LinkLogin;
  close(): Promise<void>;
}

const MOST_CONNECTIONS = 200;
/** Wrong tokens from one address, before it has to wait, and for how long. A station's secret is too long to be guessed. */
const MOST_WRONG_TOKENS = 10;
const WAIT_MS = 60_000;
/** Topics of one station: its broker keeps a retained message for each. */
const MOST_TOPICS = 500;
const ROOM_USER = '(room)';

type Opened = { ok: true; broker: OwnBroker } | { ok: false; text: string };

export async function openOwnBroker(options: OwnBrokerOptions): Promise<Opened> {
  const login = { user: ROOM_USER, password: randomBytes(24).toString('base64url') };
  const access = new Access(options, login);
  const aedes = new Aedes({
    authenticate: (client, user, password, done) => {
      const name = access.enter(client, user ?? '', password?.toString() ?? '');
      done(null, name);
    },
    authorizePublish: (client, { topic }, done) =>
      done(client === null || access.mayPublish(client, topic) ? null : new Error('not its topic')),
    authorizeSubscribe: (client, subscription, done) =>
      done(null, access.maySubscribe(client, subscription.topic) ? subscription : null),
  });
  await aedes.listen();
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    socket.on('error', () => socket.destroy());
    const lengths = new PacketLengths(() => socket.destroy());
    access.from.set(
      aedes.handle(Duplex.from({ readable: socket.pipe(lengths), writable: socket })),
      socket.remoteAddress ?? '',
    );
  });
  server.maxConnections = MOST_CONNECTIONS;
  // A client that breaks the protocol is dropped by the broker itself.
  aedes.on('clientError', () => {});
  aedes.on('connectionError', () => {});
  const listening = await listenOnFreePort(server, options.address, options.port);
  if (!listening.ok) return listening;
  const close = async () => {
    await new Promise<void>((closed) => aedes.close(() => closed()));
    for (const socket of sockets) socket.destroy();
    await new Promise<void>((closed) => server.close(() => closed()));
  };
  return { ok: true, broker: { port: listening.port, login, close } };
}

/** Who may connect, and to what. */
class Access {
  /** The address of each client. */
  readonly from = new WeakMap<Client, string>();
  readonly #options: OwnBrokerOptions;
  readonly #room: LinkLogin;
  readonly #stations = new WeakMap<Client, string>();
  readonly #topics = new Map<string, Set<string>>();
  readonly #wrongTokens = new Map<string, { count: number; sinceMs: number }>();

  constructor(options: OwnBrokerOptions, room: LinkLogin) {
    this.#options = options;
    this.#room = room;
  }

  enter(client: Client, user: string, password: string): boolean {
    const isIn =
      user === ROOM_USER
        ? isSameSecret(password, this.#room.password)
        : isRoomName(user) && this.#isStation(user, password, this.from.get(client) ?? '');
    if (isIn) this.#stations.set(client, user);
    return isIn;
  }

  mayPublish(client: Client, topic: string): boolean {
    const user = this.#stations.get(client);
    if (user === undefined || user === ROOM_USER) return user === ROOM_USER;
    return mayPublish(this.#options.room, user, topic) && this.#hasPlace(user, topic);
  }

  maySubscribe(client: Client, filter: string): boolean {
    const user = this.#stations.get(client);
    return user === ROOM_USER || (user !== undefined && maySubscribe(this.#options.room, user, filter));
  }

  #isStation(name: string, password: string, address: string): boolean {
    const { token, secret } = readPassword(password);
    const { secrets } = this.#options;
    if (token === null) return secrets.knows(name, secret);
    if (this.#mustWait(address)) return false;
    if (isSameSecret(token, this.#options.token)) return secrets.pair(name, secret);
    this.#noteWrongToken(address);
    return false;
  }

  #hasPlace(user: string, topic: string): boolean {
    const topics = this.#topics.get(user) ?? new Set();
    if (!topics.has(topic) && topics.size >= MOST_TOPICS) return false;
    this.#topics.set(user, topics.add(topic));
    return true;
  }

  #mustWait(address: string): boolean {
    const wrong = this.#wrongTokens.get(address);
    if (wrong === undefined || performance.now() - wrong.sinceMs > WAIT_MS) {
      this.#wrongTokens.delete(address);
      return false;
    }
    return wrong.count >= MOST_WRONG_TOKENS;
  }

  #noteWrongToken(address: string): void {
    const wrong = this.#wrongTokens.get(address) ?? { count: 0, sinceMs: performance.now() };
    this.#wrongTokens.set(address, { ...wrong, count: wrong.count + 1 });
  }
}
