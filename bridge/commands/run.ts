import { describePort, listPorts } from '../serial/list-ports.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { MakeRun } from '../session/make-run.ts';
import { runMaker } from '../session/make-run.ts';
import { openSession } from '../session/open-session.ts';
import type { RunSession } from '../session/run-session.ts';
import type { RunRecordOptions } from './prepare-run.ts';
import { prepareRun } from './prepare-run.ts';
import { resultLines } from './result-lines.ts';
import type { PageOptions } from './serve-sessions.ts';
import { serveSession } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { reportUncaughtErrors } from './uncaught-errors.ts';
import { watchSession } from './watch-session.ts';

export interface RunOptions extends RunRecordOptions, PageOptions {
  port: string;
  baud: number;
  rate: number | null;
}

/** A run on a real bench: serial port, recording, page. */
export async function run(options: RunOptions, terminal: Terminal): Promise<ExitCode> {
  const prepared = await prepareRun(options, terminal);
  if (!prepared.ok) {
    terminal.note(prepared.text);
    return prepared.code;
  }
  const makeRun = await runMaker();
  const opened = await openSession({
    id: 'run',
    title: prepared.title,
    kind: 'live',
    source: new SerialSource({ path: options.port, baudRate: options.baud, rateHz: options.rate }),
    path: prepared.path,
    begin: prepared.begin,
    opening: prepared.opening,
    makeRun,
  });
  if (opened.ok) return serveRun(opened.session, makeRun, options, terminal);
  terminal.note(opened.text);
  if (opened.code.startsWith('port-') || opened.code === 'not-a-port') await notePorts(terminal);
  return opened.code === 'exists' ? 2 : 1;
}

async function notePorts(terminal: Terminal): Promise<void> {
  const ports = await listPorts();
  terminal.note(
    ports.length === 0 ? 'no serial port is to be seen on this computer' : 'the ports there are:',
  );
  for (const port of ports) terminal.note(`  ${describePort(port)}`);
}

async function serveRun(
  session: RunSession,
  makeRun: MakeRun,
  page: PageOptions,
  terminal: Terminal,
): Promise<ExitCode> {
  const asked = untilAskedToEnd();
  reportUncaughtErrors(terminal);
  const bridge = await serveSession(session, makeRun, page, terminal);
  terminal.out(`recording: ${session.recordingPath()}`);
  const stopWatching = watchSession(session, terminal, () => {
    const { samples, badLines, lostSamples } = session.view().stream;
    return `${samples} samples, ${badLines} damaged lines, ${lostSamples} samples lost`;
  });
  await asked;
  stopWatching();
  await (bridge ?? session).close();
  for (const line of resultLines(session.view())) terminal.out(line);
  terminal.out(`recording: ${session.recordingPath()}`);
  const { trouble } = session.recording();
  if (trouble !== null) terminal.note(`WARNING: ${trouble.text}`);
  return trouble === null ? 0 : 1;
}
