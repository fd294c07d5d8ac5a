import { runMaker } from '../session/make-run.ts';
import type { PageOptions } from './serve-sessions.ts';
import { serveSession } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { reportUncaughtErrors } from './uncaught-errors.ts';

/** The page without a run: a bench is described and calibrated on it, recordings are opened, runs are begun. */
export async function servePage(options: PageOptions, terminal: Terminal): Promise<ExitCode> {
  const asked = untilAskedToEnd();
  reportUncaughtErrors(terminal);
  const bridge = await serveSession(null, await runMaker(), options, terminal);
  if (bridge === null) return 1;
  terminal.note('describe a bench and begin a run on the page, under Bench; end with Ctrl-C');
  await asked;
  return (await bridge.close()) ? 0 : 1;
}
