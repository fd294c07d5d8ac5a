import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { RunEvent } from '../run/events.ts';
import { DEFAULT_PROCEDURE, type Procedure } from '../run/procedure.ts';
import {
  makeFolderFor,
  openingEvents,
  RESULTS_HIDDEN,
  recordingName,
  utcSeconds,
} from '../session/new-recording.ts';
import type { SessionPlan } from '../session/open-session.ts';
import { aboutRun, temperatureOption } from './about-option.ts';
import { readBenchFile } from './bench-option.ts';
import { recordingsFolder } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface RunRecordOptions {
  /** Folder in whose `recordings` the recording goes where `out` names none. */
  home: string;
  /** Null only where a recording is resumed: it holds its bench. */
  bench: string | null;
  out: string | null;
  by: string[];
  temperature: string | null;
  resume: boolean;
  /** Null where it was not said: the comparison, or in a recording that is resumed whatever that states. */
  procedure: Procedure | null;
  hideResults: boolean;
}

export interface PreparedRun {
  ok: true;
  /** Where the recording goes. */
  path: string;
  begin: SessionPlan['begin'];
  title: string;
  opening: RunEvent[];
}

export interface RunRefusal {
  ok: false;
  code: ExitCode;
  text: string;
}

const misuse = (text: string): RunRefusal => ({ ok: false, code: 2, text });

/** What the recording of a run needs before its first line, or what is wrong with the options. */
export async function prepareRun(
  options: RunRecordOptions,
  terminal: Terminal,
): Promise<PreparedRun | RunRefusal> {
  const bench = options.bench === null ? null : readBenchFile(options.bench);
  if (bench?.ok === false) return misuse(bench.text);
  if (options.resume) return resumedRun(options, bench);
  if (bench === null)
    return misuse('--bench FILE is missing: what is known of the bench, as the README shows');
  const out = options.out === null ? null : resolve(options.out);
  if (out !== null && existsSync(out))
    return misuse(`${out} is already there and is not overwritten; --resume goes on in it`);
  const about = await aboutRun(options, terminal);
  if (!about.ok) return misuse(about.text);
  const now = new Date();
  const path = out ?? join(recordingsFolder(options.home), recordingName(bench.bench.name, now));
  const obstacle = out === null ? makeFolderFor(path) : null;
  if (obstacle !== null) return { ok: false, code: 1, text: obstacle.text };
  const { by, temperatureC } = about;
  const procedure = options.procedure ?? DEFAULT_PROCEDURE;
  const opening = openingEvents(
    { bench: bench.raw, by, temperatureC, procedure, hideResults: options.hideResults },
    now,
  );
  const begin = out === null ? 'create-beside' : 'create';
  return { ok: true, path, begin, title: bench.bench.name, opening };
}

function resumedRun(
  options: RunRecordOptions,
  bench: Extract<ReturnType<typeof readBenchFile>, { ok: true }> | null,
): PreparedRun | RunRefusal {
  if (options.out === null) return misuse('--resume needs --out FILE: the recording to go on in');
  const path = resolve(options.out);
  if (!existsSync(path)) return misuse(`there is no recording ${path} to go on in`);
  const about = resumedAbout(options);
  if (!about.ok) return misuse(about.text);
  const opening: RunEvent[] = [{ kind: 'resumed', utc: utcSeconds(new Date()) }];
  if (bench !== null) opening.push({ kind: 'bench', bench: bench.raw });
  opening.push(...about.events);
  if (options.hideResults) opening.push(RESULTS_HIDDEN);
  if (options.procedure !== null) opening.push({ kind: 'procedure', procedure: options.procedure });
  return { ok: true, path, begin: 'resume', title: bench?.bench.name ?? 'a bench', opening };
}

/** Only what was said anew: the recording knows the rest. */
function resumedAbout({
  by,
  temperature,
}: RunRecordOptions): { ok: true; events: RunEvent[] } | { ok: false; text: string } {
  const read = temperature === null ? null : temperatureOption(temperature);
  if (read?.ok === false) return read;
  const said = {
    ...(by.length > 0 ? { by } : {}),
    ...(read === null || read.temperatureC === null ? {} : { temperatureC: read.temperatureC }),
  };
  return { ok: true, events: Object.keys(said).length > 0 ? [{ kind: 'about', ...said }] : [] };
}
