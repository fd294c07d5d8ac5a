import { randomInt } from 'node:crypto';
import { join, resolve } from 'node:path';
import { BenchSetup } from '../bench-setup/bench-setup.ts';
import type { LinkLogin } from '../room/broker-link.ts';
import { Copies } from '../room/copies.ts';
import { openOwnBroker } from '../room/own-broker.ts';
import { Room } from '../room/room.ts';
import { type RoomLogin, roomLogin } from '../room/room-url.ts';
import { StationSecrets } from '../room/station-secrets.ts';
import { allowRemoteAccess } from '../serve/remote-access.ts';
import { serve } from '../serve/server.ts';
import { runMaker } from '../session/make-run.ts';
import { sessionRegistry } from '../session/session-registry.ts';
import type { RoomOptions } from './join-room.ts';
import { background, openInBrowser, PAGE_FOLDER, type PageOptions, tellOthers } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { reportUncaughtErrors } from './uncaught-errors.ts';

export interface ClassRoomOptions extends Omit<PageOptions, keyof RoomOptions | 'hideResults'> {
  name: string;
  /** A broker that is there already; null for one of its own. */
  broker: string | null;
  /** Of its own broker. */
  mqttPort: number;
  /** Stations whose names another computer may have. */
  forget: string[];
}

export interface OpenRoom {
  room: Room;
  /** By which stations on this computer join. */
  joinBy: { broker: string; token: string | null };
  close(): Promise<void>;
}

/** A room of benches: the broker where there is none, the collected recordings, and the class board. */
export async function openClassRoom(options: ClassRoomOptions, terminal: Terminal): Promise<ExitCode> {
  const asked = untilAskedToEnd();
  reportUncaughtErrors(terminal);
  const opened = await openRoom(options, terminal);
  if (opened === null) return 1;
  terminal.note('end with Ctrl-C');
  await asked;
  await opened.close();
  return 0;
}

/** Null where it can't be opened; the terminal has been told why. */
export async function openRoom(options: ClassRoomOptions, terminal: Terminal): Promise<OpenRoom | null> {
  const { name, home } = options;
  const folder = resolve(home, 'rooms', name);
  const sessions = sessionRegistry();
  const makeRun = await runMaker();
  const note = (text: string) => terminal.note(`room ${name}: ${text}`);
  try {
    const copies = new Copies(folder);
    const broker = await brokerFor(options, folder, terminal);
    if (broker === null) return null;
    const room = new Room({ name, ...broker, copies, makeRun, sessions, note });
    const setup = new BenchSetup({
      sessions,
      makeRun,
      recordingsFolder: folder,
      benchesFolder: join(folder, 'benches'),
      background: background(),
    });
    const others = options.listen === null ? null : allowRemoteAccess(options.listen);
    const outcome = await serve({
      ...{ sessions, setup, room },
      ...{ pageFolder: PAGE_FOLDER, port: options.httpPort, listen: others },
    });
    const close = async () => {
      if (outcome.ok) await outcome.server.close();
      await setup.close();
      await room.close();
      await broker.close();
    };
    if (!outcome.ok) {
      terminal.note(outcome.text);
      await close();
      return null;
    }
    const { server } = outcome;
    terminal.out(`class board: ${server.url}`);
    if (others !== null)
      tellOthers(others, server.port, { steeringCode: options.steeringCode, isRoom: true }, terminal);
    terminal.note(`the recordings of the class are kept in ${folder}`);
    if (options.open) await openInBrowser(server.url, terminal);
    return { room, joinBy: broker.joinBy, close };
  } catch (error) {
    note((error as Error).message);
    return null;
  }
}

interface BrokerOfRoom {
  broker: string;
  ca: RoomLogin['ca'];
  logins: LinkLogin[];
  joinBy: OpenRoom['joinBy'];
  close(): Promise<void>;
}

async function brokerFor(
  { name, broker, mqttPort, listen, forget }: ClassRoomOptions,
  folder: string,
  terminal: Terminal,
): Promise<BrokerOfRoom | null> {
  const { user, password, token: given, ca } = roomLogin(process.env);
  if (broker !== null) {
    const logins = user === null ? [] : [{ user, password: password ?? '' }];
    terminal.out(`benches join with: --room ${broker}/${name}`);
    return { broker, ca, logins, joinBy: { broker, token: null }, close: async () => {} };
  }
  const token = given ?? newToken();
  const secrets = new StationSecrets(join(folder, 'stations.json'));
  for (const station of forget) secrets.forget(station);
  const opened = await openOwnBroker({
    room: name,
    address: listen ?? '127.0.0.1',
    port: mqttPort,
    token,
    secrets,
  });
  if (!opened.ok) {
    terminal.note(opened.text);
    return null;
  }
  const { port, login, close } = opened.broker;
  const host = listen === null ? '127.0.0.1' : (allowRemoteAccess(listen).names[0] ?? '127.0.0.1');
  if (mqttPort !== 0 && port !== mqttPort)
    terminal.note(`port ${mqttPort} is taken; its broker uses ${port}`);
  terminal.out(`benches join with: --room mqtt://${host}:${port}/${name}`);
  terminal.out(`and, the first time, with the token in the environment: TENWIRE_ROOM_TOKEN=${token}`);
  if (listen === null) terminal.note('only this computer can join: --listen lets others in');
  const here = listen === null || listen === '0.0.0.0' || listen === '::' ? '127.0.0.1' : listen;
  const own = `mqtt://${here}:${port}`;
  return { broker: own, ca: null, logins: [login], joinBy: { broker: own, token }, close };
}

/** Letters and digits that nobody takes for another; 58 bits, and a wrong one is asked for ten times a minute at most. */
const TOKEN_LETTERS = 'abcdefghjkmnpqrstuvwxyz23456789';
const TOKEN_LENGTH = 12;
const newToken = (): string =>
  Array.from({ length: TOKEN_LENGTH }, () => TOKEN_LETTERS[randomInt(TOKEN_LETTERS.length)]).join('');
