import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Procedure } from '../run/procedure.ts';
import type { RunView } from '../run/view.ts';
import type { MakeRun } from '../session/make-run.ts';
import { runMaker } from '../session/make-run.ts';
import { makeFolderFor, RESULTS_HIDDEN, recordingName } from '../session/new-recording.ts';
import { openSession } from '../session/open-session.ts';
import type { RunSession } from '../session/run-session.ts';
import { COMPARISON, INTERNAL_RESISTANCE, sceneWith } from '../simulate/default-scene.ts';
import type { Scene } from '../simulate/scene.ts';
import { spanOf, truthOf } from '../simulate/truth.ts';
import type { DemoBench } from './demo-bench.ts';
import { emulatedBench, handWorkedBench, simulatedBench } from './demo-bench.ts';
import { resultLines } from './result-lines.ts';
import type { Bridge, PageOptions } from './serve-sessions.ts';
import { recordingsFolder, serveSession } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { reportUncaughtErrors } from './uncaught-errors.ts';
import { watchSession } from './watch-session.ts';

export interface DemoOptions extends PageOptions {
  /** End after the result instead of serving on. */
  once: boolean;
  /** Times real time; null for what suits the bench. */
  speed: number | null;
  seed: number;
  out: string | null;
  emulatedBoard: boolean;
  /** The hand at the bench is the page's. */
  byHand: boolean;
  procedure: Procedure;
  /** Where the hand is the page's: a board that senses the two currents and nothing else. */
  plainBoard: boolean;
}

const TASKS = { 'emf-comparison': COMPARISON, 'internal-resistance': INTERNAL_RESISTANCE };

/** How long the run waits for somebody to look on. */
const PATIENCE_S = 10;
const LOOK_MS = 50;

const SIMULATED_SPEED = 10;
/** About as fast as one core emulates the board. */
const EMULATED_SPEED = 3;

/** A simulated bench, worked by a simulated student, served as a real one would be. */
export async function demo(options: DemoOptions, terminal: Terminal): Promise<ExitCode> {
  const scene = sceneWith({ seed: options.seed, task: TASKS[options.procedure] });
  const path = resolve(
    options.out ?? join(recordingsFolder(options.home), recordingName('demo', new Date())),
  );
  const obstacle = options.out === null ? makeFolderFor(path) : null;
  if (obstacle !== null) return failed(terminal, obstacle.text);
  const { speed } = options;
  const opening = options.emulatedBoard
    ? await emulatedBench(scene, speed ?? EMULATED_SPEED)
    : options.byHand
      ? handWorkedBench({ ...options, speed: speed ?? 1 })
      : simulatedBench(scene, speed ?? SIMULATED_SPEED);
  if (!opening.ok) return failed(terminal, opening.text);
  const { bench } = opening;
  const makeRun = await runMaker();
  const opened = await openSession({
    id: 'demo',
    title: scene.bench.name,
    kind: 'simulated',
    source: bench.source,
    path,
    begin: options.out === null ? 'create-beside' : 'create',
    opening: options.hideResults ? [...bench.opening, RESULTS_HIDDEN] : bench.opening,
    makeRun,
    hand: bench.hand,
  });
  const code = opened.ok
    ? await serveDemo(opened.session, bench, scene, { ...options, makeRun }, terminal)
    : failed(terminal, opened.text, opened.code === 'exists' ? 2 : 1);
  await bench.close();
  return code;
}

function failed(terminal: Terminal, text: string, code: ExitCode = 1): ExitCode {
  terminal.note(text);
  return code;
}

async function serveDemo(
  session: RunSession,
  bench: DemoBench,
  scene: Scene,
  options: DemoOptions & { makeRun: MakeRun },
  terminal: Terminal,
): Promise<ExitCode> {
  reportUncaughtErrors(terminal);
  const asked = untilAskedToEnd();
  const pageOptions = { ...options, open: options.open && !options.once };
  const bridge = await serveSession(session, options.makeRun, pageOptions, terminal);
  if (bridge !== null && !options.byHand && !options.once)
    await Promise.race([pageOpened(bridge, terminal), asked]);
  const finished = bench.finished(session);
  const stopWatching = watchSession(session, terminal, bench.progress);
  await Promise.race([finished, asked]);
  stopWatching();
  const view = session.view();
  for (const line of resultLines(view)) terminal.out(line);
  if (!view.resultsHidden) terminal.out(truthLine(scene, view));
  terminal.out(`recording: ${session.recordingPath()}`);
  if (!options.once && bridge !== null) {
    terminal.note('the page goes on being served; end with Ctrl-C');
    await asked;
  }
  await (bridge ?? session).close();
  const { trouble } = session.recording();
  if (trouble !== null) terminal.note(`WARNING: ${trouble.text}`);
  return trouble === null && session.view().work.outcome?.result ? 0 : 1;
}

/** Resolves when somebody looks on, or when nobody has come for a while. */
async function pageOpened({ server }: Bridge, terminal: Terminal): Promise<void> {
  terminal.note(`the run begins when the page is opened, at the latest in ${PATIENCE_S} s`);
  for (let looks = (1000 * PATIENCE_S) / LOOK_MS; looks > 0; looks -= 1) {
    if (server.viewers() > 0) return;
    await sleep(LOOK_MS, undefined, { ref: false });
  }
  terminal.note('nobody has opened the page yet: the run begins without');
}

function truthLine(scene: Scene, { nulls }: RunView): string {
  const { emf1V, emf2V, ratio, r1Ohm, endACm } = truthOf(scene, spanOf(nulls));
  const loaded = scene.task.kind === 'internal-resistance';
  const sought = loaded
    ? `r = ${r1Ohm} ohm`
    : `E1/E2 = ${emf1V.toFixed(5)} V / ${emf2V.toFixed(5)} V = ${ratio.toFixed(6)}`;
  return `truth of the simulated cells: ${sought}, end correction ${endACm.toFixed(3)} cm`;
}
