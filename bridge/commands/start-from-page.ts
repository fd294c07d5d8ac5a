import { join } from 'node:path';
import type { DeskOptions } from '../desk/desk.ts';
import type { RunEvent } from '../run/events.ts';
import { DEFAULT_PROCEDURE, type Procedure } from '../run/procedure.ts';
import { SerialSource } from '../serial/serial-source.ts';
import type { MakeFold } from '../session/make-fold.ts';
import { openSession } from '../session/open-session.ts';
import { makeFolderFor, recordingName, utcSeconds } from './recording-path.ts';

/** Starts runs that are asked for on the page: each with its own port and recording. */
export function startFromPage(folder: string, makeFold: MakeFold): DeskOptions['startRun'] {
  let runs = 0;
  return async (order) => {
    const now = new Date();
    const title = typeof order.bench.name === 'string' ? order.bench.name : order.file;
    const path = join(folder, recordingName(title, now));
    const obstacle = makeFolderFor(path);
    if (obstacle !== null) return { ok: false, ...obstacle };
    runs += 1;
    return openSession({
      id: `run-from-page-${runs}`,
      title,
      kind: 'live',
      source: new SerialSource({ path: order.port, baudRate: order.baud, rateHz: null }),
      path,
      resume: false,
      opening: openingEvents(order, now),
      makeFold,
    });
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
