import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { Head } from '../run/about.ts';
import type { RunEvent } from '../run/events.ts';
import { DEFAULT_PROCEDURE, type Procedure } from '../run/procedure.ts';

/** A moment as the recordings write it: `2026-03-02T09:30:00Z`. */
export const utcSeconds = (now: Date): string => now.toISOString().replace(/\.\d+Z$/, 'Z');

/** The file name of a recording that was given none: `2026-03-02T09-30-00Z-bench-4.rec`. */
export function recordingName(benchName: string, now: Date): string {
  const name = benchName
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return `${utcSeconds(now).replaceAll(':', '-')}-${name || 'bench'}.rec`;
}

/** Makes the folder of a recording that was given no name. Answers what stood in the way, or null. */
export function makeFolderFor(path: string): Message | null {
  try {
    mkdirSync(dirname(path), { recursive: true });
    return null;
  } catch (error) {
    return message('folder-unmade', { folder: dirname(path), message: (error as Error).message });
  }
}

/** A teacher keeps the results back until the own working is handed in. */
export const RESULTS_HIDDEN = { kind: 'results', hidden: true } as const satisfies RunEvent;

/** What a recording says before the first line of the board. */
export function openingEvents(
  run: {
    bench: Record<string, unknown>;
    by: string[];
    temperatureC: number | null;
    procedure: Procedure;
    head?: Head;
    /** Until the own working is handed in. */
    hideResults?: boolean;
  },
  now: Date,
): RunEvent[] {
  const { by, temperatureC, procedure } = run;
  const who = by.length === 0 ? {} : { by };
  const about = { kind: 'about' as const, startedUtc: utcSeconds(now), ...who, ...run.head };
  return [
    { kind: 'bench', bench: run.bench },
    temperatureC === null ? about : { ...about, temperatureC },
    ...(procedure === DEFAULT_PROCEDURE ? [] : [{ kind: 'procedure' as const, procedure }]),
    ...(run.hideResults === true ? [RESULTS_HIDDEN] : []),
  ];
}
