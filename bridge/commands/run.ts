import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import type { RunEvent } from '../run/events.ts';
import { describePort, listPorts } from '../serial/list-ports.ts';
import { SerialSource } from '../serial/serial-source.ts';
import { foldMaker } from '../session/make-fold.ts';
import type { SessionPlan } from '../session/open-session.ts';
import { openSession } from '../session/open-session.ts';
import type { RunSession } from '../session/run-session.ts';
import { aboutRun } from './about-option.ts';
import { readBenchFile } from './bench-option.ts';
import { makeFolderFor, recordingPath } from './recording-path.ts';
import { resultLines } from './result-lines.ts';
import { serveSessions } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';
import { untilAskedToEnd } from './terminal.ts';
import { watchSession } from './watch-session.ts';

export interface RunOptions {
  port: string;
  /** Null only where a recording is resumed: it holds its bench. */
  bench: string | null;
  out: string | null;
  by: string[];
  temperature: string | null;
  baud: number;
  rate: number | null;
  resume: boolean;
  procedure: 'emf-comparison' | 'internal-resistance';
  httpPort: number;
}

interface Refusal {
  code: ExitCode;
  text: string;
}

type Prepared = { ok: true; path: string; title: string; opening: RunEvent[] } | ({ ok: false } & Refusal);

const misuse = (text: string): { ok: false } & Refusal => ({ ok: false, code: 2, text });

/** A run on a real bench: serial port, recording, page. */
export async function run(options: RunOptions, terminal: Terminal): Promise<ExitCode> {
  const prepared = await prepare(options, terminal);
  if (!prepared.ok) {
    terminal.note(prepared.text);
    return prepared.code;
  }
  const opened = await openSession(await planFor(options, prepared));
  if (!opened.ok) {
    terminal.note(opened.text);
    if (opened.code.startsWith('port-') || opened.code === 'not-a-port') await notePorts(terminal);
    return opened.code === 'exists' ? 2 : 1;
  }
  return serveRun(opened.session, prepared.path, options, terminal);
}

async function prepare(options: RunOptions, terminal: Terminal): Promise<Prepared> {
  const bench = options.bench === null ? null : readBenchFile(options.bench);
  if (bench?.ok === false) return misuse(bench.text);
  if (options.resume) return prepareResumed(options, bench === null ? null : bench.raw);
  if (bench === null)
    return misuse('--bench FILE is missing: what is known of the bench, as the README shows');
  const path = resolve(options.out ?? recordingPath(bench.bench.name, new Date()));
  if (existsSync(path))
    return misuse(`${path} is already there and is not overwritten; --resume goes on in it`);
  const about = await aboutRun(options, terminal, new Date());
  if (!about.ok) return misuse(about.text);
  const obstacle = options.out === null ? makeFolderFor(path) : null;
  if (obstacle !== null) return { ok: false, code: 1, text: obstacle };
  const procedure: RunEvent[] =
    options.procedure === 'emf-comparison' ? [] : [{ kind: 'procedure', procedure: options.procedure }];
  const opening: RunEvent[] = [{ kind: 'bench', bench: bench.raw }, about.about, ...procedure];
  return { ok: true, path, title: bench.bench.name, opening };
}

function prepareResumed(options: RunOptions, bench: Record<string, unknown> | null): Prepared {
  if (options.out === null) return misuse('--resume needs --out FILE: the recording to go on in');
  const path = resolve(options.out);
  if (!existsSync(path)) return misuse(`there is no recording ${path} to go on in`);
  const utc = new Date().toISOString().replace(/\.\d+Z$/, 'Z');
  const opening: RunEvent[] = [{ kind: 'resumed', utc }];
  if (bench !== null) opening.push({ kind: 'bench', bench });
  return { ok: true, path, title: options.port, opening };
}

async function planFor(options: RunOptions, prepared: Extract<Prepared, { ok: true }>): Promise<SessionPlan> {
  return {
    id: 'run',
    title: prepared.title,
    kind: 'live',
    source: new SerialSource({ path: options.port, baudRate: options.baud, rateHz: options.rate }),
    path: prepared.path,
    resume: options.resume,
    opening: prepared.opening,
    makeFold: await foldMaker(),
  };
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
  path: string,
  options: RunOptions,
  terminal: Terminal,
): Promise<ExitCode> {
  const server = await serveSessions([session], options.httpPort, terminal);
  terminal.out(`recording: ${path}`);
  const stopWatching = watchSession(session, terminal, () => {
    const { samples, badLines, lostSamples } = session.view().stream;
    return `${samples} samples, ${badLines} damaged lines, ${lostSamples} samples lost`;
  });
  await untilAskedToEnd();
  stopWatching();
  await server?.close();
  await session.close();
  for (const line of resultLines(session.view())) terminal.out(line);
  terminal.out(`recording: ${path}`);
  const { trouble } = session.recording();
  if (trouble !== null) terminal.note(`WARNING: ${trouble}`);
  return trouble === null ? 0 : 1;
}
