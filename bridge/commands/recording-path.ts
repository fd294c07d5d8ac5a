import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';

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
