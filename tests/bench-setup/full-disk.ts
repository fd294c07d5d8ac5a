import { execFileSync } from 'node:child_process';

/** Whether this machine can be made to refuse long files (Linux). */
export const CAN_FILL = process.platform === 'linux';

/**
 * Does `work` while this process can write no file longer than `mostBytes`: as on a disk that fills up, the write that
 * would go beyond is cut short there, and the next one fails.
 */
export async function onFullDisk<Done>(mostBytes: number, work: () => Done): Promise<Awaited<Done>> {
  const allow = (longest: string) =>
    execFileSync('prlimit', ['--pid', String(process.pid), `--fsize=${longest}:`]);
  allow(String(mostBytes));
  try {
    return await work();
  } finally {
    allow('unlimited');
  }
}
