import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { renderUnicodeCompact } from 'uqr';
import { Background } from '../bench-setup/background.ts';
import { BenchSetup } from '../bench-setup/bench-setup.ts';
import type { Station } from '../room/station.ts';
import {
  allowRemoteAccess,
  linksFor,
  newToken,
  type RemoteAccess,
  RISK_OF_OTHERS,
  teacherLink,
} from '../serve/remote-access.ts';
import type { RunningServer } from '../serve/server.ts';
import { serve } from '../serve/server.ts';
import type { MakeRun } from '../session/make-run.ts';
import type { Session } from '../session/session.ts';
import { type SessionRegistry, sessionRegistry } from '../session/session-registry.ts';
import type { RoomOptions } from './join-room.ts';
import { PageRuns } from './page-runs.ts';
import type { Terminal } from './terminal.ts';

/** The built page lies beside the built bridge. */
export const PAGE_FOLDER = fileURLToPath(new URL('../web', import.meta.url));

/** Its entry lies beside this program. */
export const background = (): Background =>
  new Background(new URL('./background-worker.js', import.meta.url));

/** Where recordings are kept. */
export const recordingsFolder = (home: string): string => resolve(home, 'recordings');
const benchesFolder = (home: string): string => resolve(home, 'benches');

interface Closable extends Session {
  close(): Promise<void>;
}

export interface Bridge {
  server: RunningServer;
  /**
   * Closes the page, then every run and replay, also those that were begun on the page. False where the recording of one
   * of these could not be written to its end.
   */
  close(): Promise<boolean>;
}

export interface PageOptions extends RoomOptions {
  /** Folder in which recordings and bench files lie, each in a folder of their own. */
  home: string;
  httpPort: number;
  /** Address on which others are let in; null for this machine alone. */
  listen: string | null;
  /** Prints the link that steers as a QR code. On the terminal alone: a page may be on a projector. */
  steeringCode: boolean;
  /** Results stay hidden from all but a teacher's page until the own working is handed in. */
  hideResults: boolean;
  /** Opens the page in the browser of this computer. */
  open: boolean;
}

/** Serves a run, if there is one yet, with set-up and recordings, and says where. Null where no port could be had. */
export async function serveSession(
  session: Closable | null,
  makeRun: MakeRun,
  { home, httpPort, listen, steeringCode, hideResults, open, ...room }: PageOptions,
  terminal: Terminal,
): Promise<Bridge | null> {
  const sessions = sessionRegistry();
  if (session !== null) sessions.add(session);
  const runs = new PageRuns(terminal);
  const setup = new BenchSetup({
    sessions,
    makeRun,
    recordingsFolder: recordingsFolder(home),
    benchesFolder: benchesFolder(home),
    background: background(),
    onBegun: (begun) => runs.begun(begun),
    hideResults,
  });
  const others = listen === null ? null : allowRemoteAccess(listen);
  const ownToken = process.env.TENWIRE_TEACHER_TOKEN || null;
  const teacherToken = ownToken ?? (hideResults ? newToken() : null);
  const outcome = await serve({
    ...{ sessions, setup, teacherToken },
    ...{ pageFolder: PAGE_FOLDER, port: httpPort, listen: others },
  });
  if (!outcome.ok) {
    terminal.note(outcome.text);
    return null;
  }
  const { server } = outcome;
  if (httpPort !== 0 && server.port !== httpPort)
    terminal.note(`port ${httpPort} is taken; using ${server.port}`);
  terminal.out(`page: ${server.url}`);
  if (others === null) terminal.out(`for the room, watches only: ${server.url}show`);
  if (!existsSync(benchesFolder(home)))
    terminal.note(`recordings are kept in ${recordingsFolder(home)}, bench files in ${benchesFolder(home)}`);
  if (others !== null) tellOthers(others, server.port, { steeringCode }, terminal);
  // Whoever chose the token knows it, and need not have it where others look on.
  if (teacherToken !== null && ownToken === null)
    terminal.out(
      `for the teacher, who sees hidden results: ${teacherLink(others, server.port, teacherToken)}`,
    );
  const station = await joinedRoom(room, home, sessions, terminal);
  if (open) await openInBrowser(server.url, terminal);
  return { server, close: () => closeAll() };

  async function closeAll(): Promise<boolean> {
    await server.close();
    await setup.close();
    const open = sessions.list().map(({ id }) => sessions.get(id) as Closable);
    await Promise.all(open.map((one) => one.close()));
    await station?.close();
    return runs.end();
  }
}

/** Null where none is named, or it can't be joined. What it takes is loaded only where it is asked for. */
async function joinedRoom(
  { room, station }: RoomOptions,
  home: string,
  sessions: SessionRegistry,
  terminal: Terminal,
): Promise<Station | null> {
  if (room === null) return null;
  const { joinRoom } = await import('./join-room.ts');
  const folders = { home, recordingsFolder: recordingsFolder(home) };
  const joined = joinRoom({ room, station }, folders, sessions, terminal);
  if (joined.ok) return joined.station;
  terminal.note(joined.text);
  return null;
}

export async function openInBrowser(url: string, terminal: Terminal): Promise<void> {
  const { default: open } = await import('open');
  await open(url).catch(() => terminal.note('no browser could be opened here: open the address above'));
}

export function tellOthers(
  others: RemoteAccess,
  port: number,
  { steeringCode, isRoom = false }: { steeringCode: boolean; isRoom?: boolean },
  terminal: Terminal,
): void {
  const links = linksFor(others, port);
  terminal.out(`for the projector, watches only: ${isRoom ? links.watchBoard : links.watch}`);
  terminal.out(`for another machine that may steer: ${links.steer}`);
  if (steeringCode) terminal.out(renderUnicodeCompact(links.steer, { border: 2 }));
  terminal.note(RISK_OF_OTHERS);
}
