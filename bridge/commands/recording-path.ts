import { mkdirSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';

/** Where a recording goes that was given no name: recordings/2026-03-02T09-30-00Z-bench-4.rec in the working folder. */
export function recordingPath(benchName: string, now: Date): string {
  const stamp = now
    .toISOString()
    .replace(/\.\d+Z$/, 'Z')
    .replaceAll(':', '-');
  const name = benchName
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return resolve(join('recordings', `${stamp}-${name || 'bench'}.rec`));
}

/** Makes the folder of a recording that was given no name. Answers what stood in the way, or null. */
export function makeFolderFor(path: string): string | null {
  try {
    mkdirSync(dirname(path), { recursive: true });
    return null;
  } catch (error) {
    return `${dirname(path)} can't be made: ${(error as Error).message}`;
  }
}
