import { setTimeout as sleep } from 'node:timers/promises';

/** Waits for what must come to pass; after `mostMs` the error says what did not. */
export async function until(holds: () => boolean, what: string, mostMs = 60_000): Promise<void> {
  const endMs = performance.now() + mostMs;
  while (!holds()) {
    if (performance.now() > endMs) throw new Error(`not within ${mostMs} ms: ${what}`);
    await sleep(5);
  }
}

/**
 * Before "nothing happened": whatever this process had to do within `ms` is done then, however slow the machine. One sleep
 * would not do, since a stalled process wakes from it before its other timers had their turns.
 */
export async function settle(ms: number): Promise<void> {
  for (let turn = 0; turn < ms / 2; turn += 1) await sleep(2);
}
