import { join, resolve } from 'node:path';
import type { ClassBoard } from '../room/class-board.ts';
import { Station } from '../room/station.ts';
import { stationLogins } from '../room/station-credential.ts';
import { serve } from '../serve/server.ts';
import { type MakeRun, runMaker } from '../session/make-run.ts';
import { makeFolderFor, recordingName } from '../session/new-recording.ts';
import { openSession } from '../session/open-session.ts';
import { PacedSource } from '../session/paced-source.ts';
import type { RunSession } from '../session/run-session.ts';
import { sessionRegistry } from '../session/session-registry.ts';
import { simulateRun } from '../simulate/simulate-run.ts';
import { type ClassStudent, classOf } from './class-students.ts';
import type { OpenRoom } from './room.ts';
import { openRoom } from './room.ts';
import { PAGE_FOLDER, type PageOptions, recordingsFolder } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { reportUncaughtErrors } from './uncaught-errors.ts';

export interface DemoClassOptions extends PageOptions {
  students: number;
  /** End once every student has done what they can. */
  once: boolean;
  /** Times real time; null for what this computer carries. */
  speed: number | null;
  seed: number;
  /** Of the room's own broker. */
  mqttPort: number;
}

const ROOM = 'demo-class';
const SPEED = 4;

interface StudentBench {
  session: RunSession;
  /** Resolves once the student has done all there is to do. */
  finished: Promise<void>;
  close(): Promise<void>;
}

/** A whole simulated class on one computer: a room with a broker of its own, and a station for each bench. */
export async function demoClass(options: DemoClassOptions, terminal: Terminal): Promise<ExitCode> {
  const asked = untilAskedToEnd();
  reportUncaughtErrors(terminal);
  const home = resolve(options.home);
  const opened = await openRoom({ ...options, name: ROOM, broker: null, forget: [] }, terminal);
  if (opened === null) return 1;
  const makeRun = await runMaker();
  const benches: StudentBench[] = [];
  for (const student of classOf(options.students, options.seed)) {
    const begun = await beginBench(
      student,
      opened,
      { home, makeRun, speed: options.speed ?? SPEED },
      terminal,
    );
    if (begun !== null) benches.push(begun);
  }
  const first = await servePageOf(benches.at(0)?.session ?? null, terminal);
  terminal.note(`${benches.length} simulated students are at work (all of it is invented)`);
  const everyOne = Promise.all(benches.map(({ finished }) => finished));
  await Promise.race(options.once ? [everyOne, asked] : [asked]);
  await Promise.all(benches.map(({ close }) => close()));
  for (const line of boardLines(opened.room.board())) terminal.out(line);
  await first?.close();
  await opened.close();
  return benches.length === options.students ? 0 : 1;
}

async function beginBench(
  { name, scene, callsAtS }: ClassStudent,
  { joinBy: { broker, token } }: OpenRoom,
  { home, makeRun, speed }: { home: string; makeRun: MakeRun; speed: number },
  terminal: Terminal,
): Promise<StudentBench | null> {
  const ownHome = join(home, 'demo-class', name);
  const path = join(recordingsFolder(ownHome), recordingName(name, new Date()));
  const source = new PacedSource('simulated', simulateRun(scene), speed);
  const plan = { id: 'demo', title: scene.bench.name, kind: 'simulated', source, path } as const;
  const obstacle = makeFolderFor(path);
  const opened =
    obstacle === null
      ? await openSession({ ...plan, begin: 'create-beside', opening: [], makeRun })
      : { ok: false as const, ...obstacle };
  if (!opened.ok) {
    terminal.note(opened.text);
    return null;
  }
  const { session } = opened;
  const url = { broker, room: ROOM };
  const logins = stationLogins(ownHome, url, name, { user: null, password: null, token, ca: null });
  const station = new Station({ url, name, logins, ca: null, note: () => {} });
  const sessions = sessionRegistry();
  sessions.add(session);
  station.follow(sessions);
  if (callsAtS !== null) callAt(callsAtS, session);
  return {
    session,
    finished: new Promise((done) => session.onEnded(done)),
    close: async () => {
      await session.close();
      await station.close();
    },
  };
}

function callAt(atS: number, session: RunSession): void {
  const stop = session.onReading((reading) => {
    if (reading.atS < atS) return;
    stop();
    session.room()?.call(true);
  });
}

/** One bench's own page, so that both sides of the room can be seen. */
async function servePageOf(session: RunSession | null, terminal: Terminal) {
  if (session === null) return null;
  const sessions = sessionRegistry();
  sessions.add(session);
  const outcome = await serve({ sessions, pageFolder: PAGE_FOLDER, port: 0, listen: null });
  if (!outcome.ok) return null;
  terminal.out(`the page of ${session.summary.title}: ${outcome.server.url}`);
  return outcome.server;
}

function boardLines({ rows, results }: ClassBoard): string[] {
  const need = rows.filter(({ needs }) => needs !== null);
  return [
    `${rows.length} benches, ${results} with a result`,
    ...need.map(
      ({ bench, needs, summary }) => `${bench}: ${needs} (${summary.finding?.code ?? summary.step})`,
    ),
  ];
}
