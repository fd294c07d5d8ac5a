import { resolve } from 'node:path';
import { foldMaker } from '../session/make-fold.ts';
import { openSession } from '../session/open-session.ts';
import { PacedSource } from '../session/paced-source.ts';
import type { RunSession } from '../session/run-session.ts';
import { sceneWith } from '../simulate/default-scene.ts';
import type { Scene } from '../simulate/scene.ts';
import { simulateRun } from '../simulate/simulate-run.ts';
import { truthOf } from '../simulate/truth.ts';
import { makeFolderFor, recordingPath } from './recording-path.ts';
import { resultLines } from './result-lines.ts';
import { serveSessions } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { watchSession } from './watch-session.ts';

export interface DemoOptions {
  /** End after the result instead of serving on. */
  once: boolean;
  /** Times real time. */
  speed: number;
  httpPort: number;
  seed: number;
  out: string | null;
}

/** A simulated bench, worked by a simulated student, served as a real one would be. */
export async function demo(options: DemoOptions, terminal: Terminal): Promise<ExitCode> {
  const scene = sceneWith({ seed: options.seed });
  const path = resolve(options.out ?? recordingPath('demo', new Date()));
  const obstacle = options.out === null ? makeFolderFor(path) : null;
  if (obstacle !== null) {
    terminal.note(obstacle);
    return 1;
  }
  const source = new PacedSource('simulated', simulateRun(scene), options.speed);
  const opened = await openSession({
    id: 'demo',
    title: `${scene.bench.name}, simulated`,
    kind: 'simulated',
    source,
    path,
    resume: false,
    opening: [],
    makeFold: await foldMaker(),
  });
  if (!opened.ok) {
    terminal.note(opened.text);
    return opened.code === 'exists' ? 2 : 1;
  }
  return serveDemo(opened.session, source, scene, path, options, terminal);
}

async function serveDemo(
  session: RunSession,
  source: PacedSource,
  scene: Scene,
  path: string,
  options: DemoOptions,
  terminal: Terminal,
): Promise<ExitCode> {
  const server = await serveSessions([session], options.httpPort, terminal);
  const ended = new Promise<void>((done) => session.onEnded(() => done()));
  const asked = untilAskedToEnd();
  const progress = () =>
    `simulated bench at ${Math.floor(source.atMs / 1000)} s, ${options.speed} times real time`;
  const stopWatching = watchSession(session, terminal, progress);
  await Promise.race([ended, asked]);
  stopWatching();
  for (const line of [...resultLines(session.view()), ...truthLines(scene), `recording: ${path}`])
    terminal.out(line);
  if (!options.once && server !== null) {
    terminal.note('the page goes on being served; end with Ctrl-C');
    await asked;
  }
  await server?.close();
  await session.close();
  return session.view().comparison?.result == null ? 1 : 0;
}

function truthLines(scene: Scene): string[] {
  const truth = truthOf(scene);
  return [
    `truth of the simulated cells: E1/E2 = ${truth.emf1V} V / ${truth.emf2V} V = ${truth.ratio.toFixed(6)}, end correction ${truth.endACm.toFixed(3)} cm`,
  ];
}
