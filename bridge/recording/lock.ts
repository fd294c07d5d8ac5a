import { readFileSync, realpathSync, unlinkSync, writeFileSync } from 'node:fs';

/**
 * A recording has one writer. The writer keeps `<recording>.lock` beside it, which holds the number of its process; the
 * lock of a process that is gone counts for nothing.
 */

/** Locks of this process: a number alone does not tell them from one left behind by an earlier process. */
const held = new Set<string>();

export type Lock = { ok: true; unlock: () => void } | { ok: false; lock: string };

/** Takes the lock of a recording that is there. Where no lock can be written at all, the recording goes without. */
export function lockRecording(path: string): Lock {
  const lock = `${realpathSync(path)}.lock`;
  if (!take(lock) && (writerLives(lock) || !takeStale(lock))) return { ok: false, lock };
  held.add(lock);
  return { ok: true, unlock: () => unlock(lock) };
}

/** False where the lock is there already. */
function take(lock: string): boolean {
  try {
    writeFileSync(lock, `${process.pid}\n`, { flag: 'wx' });
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code !== 'EEXIST';
  }
}

function takeStale(lock: string): boolean {
  unlinkSync(lock);
  return take(lock);
}

function writerLives(lock: string): boolean {
  const pid = Number(readFileSync(lock, 'utf8'));
  if (pid === process.pid) return held.has(lock);
  // 0 and what is no number would mean other things to `kill`
  if (!(Number.isInteger(pid) && pid > 0)) return true;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code !== 'ESRCH';
  }
}

function unlock(lock: string): void {
  held.delete(lock);
  try {
    if (Number(readFileSync(lock, 'utf8')) === process.pid) unlinkSync(lock);
  } catch {
    // Gone with its folder, or out of reach: nothing is left to unlock.
  }
}
