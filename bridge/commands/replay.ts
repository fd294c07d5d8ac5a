import { resolve } from 'node:path';
import { foldMaker } from '../session/make-fold.ts';
import { ReplaySession } from '../session/replay-session.ts';
import { resultLines } from './result-lines.ts';
import { serveSessions } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';

export interface ReplayCommand {
  speed: number;
  httpPort: number;
}

/** Plays a recording back on the page. */
export async function replay(file: string, options: ReplayCommand, terminal: Terminal): Promise<ExitCode> {
  const session = new ReplaySession({
    id: 'replay',
    path: resolve(file),
    speed: options.speed,
    makeFold: await foldMaker(),
  });
  const fault = await session.start();
  if (fault !== null) {
    terminal.note(fault.text);
    return 1;
  }
  const server = await serveSessions([session], options.httpPort, terminal);
  if (server === null) return 1;
  const timer = setInterval(() => {
    const { atS, durationS, speed } = session.playback();
    const whole = durationS === 0 ? '' : ` of ${Math.round(durationS)} s`;
    terminal.progress(`at ${Math.floor(atS)} s${whole}, ${speed} times real time`);
  }, 500);
  session.onEnded(() => {
    for (const line of resultLines(session.view())) terminal.out(line);
    terminal.note('the page goes on being served; end with Ctrl-C');
  });
  await untilAskedToEnd();
  clearInterval(timer);
  terminal.progress('');
  await server.close();
  await session.close();
  return 0;
}
