import { join } from 'node:path';
import type { BenchSetupOptions } from '../bench-setup/bench-setup.ts';
import type { RunEvent } from '../run/events.ts';
import { DEFAULT_PROCEDURE, type Procedure } from '../run/procedure.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { ResumeOrder } from '../serve/served-bench-setup.ts';
import type { MakeFold } from '../session/make-fold.ts';
import { openSession, type SessionPlan } from '../session/open-session.ts';
import { makeFolderFor, recordingName, utcSeconds } from './recording-path.ts';

/** Runs that are asked for on the page, begun or taken up again: each with its own port and recording. */
export function runsFromPage(
  folder: string,
  makeFold: MakeFold,
): Pick<BenchSetupOptions, 'startRun' | 'resumeRun'> {
  const open = (
    { port, baud }: Pick<ResumeOrder, 'port' | 'baud'>,
    plan: Pick<SessionPlan, 'title' | 'path' | 'begin' | 'opening'>,
  ) => {
    const source = new SerialSource({ path: port, baudRate: baud, rateHz: null });
    // Named after its recording: taken up again by another start of the bridge, a page finds it by the name it knows.
    return openSession({ id: null, kind: 'live', source, makeFold, ...plan });
  };
  return {
    async startRun(order) {
      const now = new Date();
      const title = typeof order.bench.name === 'string' ? order.bench.name : order.file;
      const path = join(folder, recordingName(title, now));
      const obstacle = makeFolderFor(path);
      if (obstacle !== null) return { ok: false, ...obstacle };
      return open(order, { title, path, begin: 'create-beside', opening: openingEvents(order, now) });
    },
    resumeRun: (order) =>
      open(order, {
        title: order.file,
        path: order.path,
        begin: 'resume',
        opening: [{ kind: 'resumed', utc: utcSeconds(new Date()) }],
      }),
  };
}

/** What a recording says before the first line of the board. */
export function openingEvents(
  run: {
    bench: Record<string, unknown>;
    by: string[];
    temperatureC: number | null;
    procedure: Procedure;
  },
  now: Date,
): RunEvent[] {
  const { by, temperatureC, procedure } = run;
  const who = by.length === 0 ? {} : { by };
  const about = { kind: 'about' as const, startedUtc: utcSeconds(now), ...who };
  return [
    { kind: 'bench', bench: run.bench },
    temperatureC === null ? about : { ...about, temperatureC },
    ...(procedure === DEFAULT_PROCEDURE ? [] : [{ kind: 'procedure' as const, procedure }]),
  ];
}
