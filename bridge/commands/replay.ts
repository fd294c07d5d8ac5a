import { resolve } from 'node:path';
import { BackgroundReplay } from '../bench-setup/background-replay.ts';
import { runMaker } from '../session/make-run.ts';
import { resultLines } from './result-lines.ts';
import type { PageOptions } from './serve-sessions.ts';
import { background, serveSession } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { reportUncaughtErrors } from './uncaught-errors.ts';

export interface ReplayCommand extends PageOptions {
  speed: number;
}

/** Plays a recording back on the page. */
export async function replay(file: string, options: ReplayCommand, terminal: Terminal): Promise<ExitCode> {
  const makeRun = await runMaker();
  const opened = await BackgroundReplay.open({
    id: 'replay',
    path: resolve(file),
    speed: options.speed,
    background: background(),
  });
  if (!opened.ok) {
    terminal.note(opened.text);
    return 1;
  }
  const { session } = opened;
  reportUncaughtErrors(terminal);
  const bridge = await serveSession(session, makeRun, options, terminal);
  if (bridge === null) {
    await session.close();
    return 1;
  }
  const asked = untilAskedToEnd();
  const timer = setInterval(() => {
    const { atS, durationS, speed } = session.playback();
    const whole = durationS === 0 ? '' : ` of ${Math.round(durationS)} s`;
    terminal.progress(`at ${Math.floor(atS)} s${whole}, ${speed} times real time`);
  }, 500);
  session.onEnded(() => {
    for (const line of resultLines(session.view())) terminal.out(line);
    terminal.note('the page goes on being served; end with Ctrl-C');
  });
  await asked;
  clearInterval(timer);
  terminal.progress('');
  await bridge.close();
  return 0;
}
