import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));

let made = false;

/** A path below `dist/`, the program as it is shipped; built anew first where a source has changed. */
export function builtPath(name: string): string {
  if (!made) {
    const ran = spawnSync(process.execPath, [join(ROOT, '.ci/ensure.mjs'), '--build'], { encoding: 'utf8' });
    if (ran.status !== 0) throw new Error(ran.stderr);
    made = true;
  }
  return join(ROOT, 'dist', name);
}
