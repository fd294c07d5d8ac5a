import { spawnSync } from 'node:child_process';
import { join, resolve } from 'node:path';

let made = false;

/**
 * A path below `dist/`, the program as it is shipped; built anew first where a source has changed. From the working folder: tests
 * and benchmarks run at the top of the repo, and the latter from a bundle elsewhere.
 */
export function builtPath(name: string): string {
  if (!made) {
    const ran = spawnSync(process.execPath, [join('.ci', 'ensure.mjs'), '--build'], { encoding: 'utf8' });
    if (ran.status !== 0) throw new Error(ran.stderr);
    made = true;
  }
  return resolve('dist', name);
}
