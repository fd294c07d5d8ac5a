import type { ChildProcess } from 'node:child_process';
import { spawn } from 'node:child_process';
import { closeSync, constants, existsSync, mkdtempSync, openSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

/** A real pseudo-terminal with the test at its far end: what a board would be. */
export interface Pty {
  path: string;
  /** Writes bytes as the board. */
  send(bytes: string | Buffer): void;
  /** What the bridge has written so far, latin1. */
  received(): string;
  /** Pulls the cable. */
  unplug(): Promise<void>;
}

export const temporaryFolder = (): string => mkdtempSync(join(tmpdir(), 'tenwire-test-'));

/** Opens a pseudo-terminal at `path` by socat. The slave is held open, or the far end dies with the bridge's close. */
export async function plugIn(path: string): Promise<Pty> {
  const child = spawn('socat', [`PTY,raw,echo=0,link=${path}`, 'STDIO'], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  await until(() => existsSync(path), 'socat made its pseudo-terminal');
  const hold = openSync(path, constants.O_RDWR | constants.O_NOCTTY);
  let received = '';
  child.stdout.on('data', (bytes: Buffer) => {
    received += bytes.toString('latin1');
  });
  child.stdin.on('error', () => {});
  return {
    path,
    send: (bytes) => child.stdin.write(bytes, 'latin1'),
    received: () => received,
    unplug: () => unplug(child, hold, path),
  };
}

async function unplug(child: ChildProcess, hold: number, path: string): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exited = new Promise((resolve) => child.once('exit', resolve));
  child.kill('SIGKILL');
  await exited;
  closeSync(hold);
  rmSync(path, { force: true });
}

/** Waits for what must come to pass; fails, saying what did not, after `mostMs`. */
export async function until(holds: () => boolean, what: string, mostMs = 5000): Promise<void> {
  const end = Date.now() + mostMs;
  while (!holds()) {
    if (Date.now() > end) throw new Error(`not within ${mostMs} ms: ${what}`);
    await sleep(5);
  }
}
