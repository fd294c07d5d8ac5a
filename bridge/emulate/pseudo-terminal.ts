import { type ChildProcess, spawn } from 'node:child_process';
import { closeSync, constants, existsSync, openSync, rmSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';

/** A pseudo-terminal made by socat: whoever opens `path` has a serial port before them, and this is its far end. */
export interface PseudoTerminal {
  path: string;
  /** Bytes to whoever has the port open. */
  write(bytes: Uint8Array): void;
  /** The far end goes away, as if the cable were pulled; `path` is gone afterwards. */
  close(): Promise<void>;
}

export type Opening = { ok: true; terminal: PseudoTerminal } | { ok: false; text: string };

const APPEARS_WITHIN_MS = 3000;
const LOOK_MS = 5;

/** Makes a pseudo-terminal at `path`; `onBytes` gets what is written to it. Needs socat, on Linux or macOS. */
export async function openPseudoTerminal(
  path: string,
  onBytes: (bytes: Uint8Array) => void,
): Promise<Opening> {
  if (existsSync(path)) return { ok: false, text: `${path} is already there` };
  const child = spawn('socat', [`PTY,raw,echo=0,link=${path}`, 'STDIO'], { stdio: ['pipe', 'pipe', 'pipe'] });
  const trouble = await appears(child, path);
  if (trouble !== null) {
    child.kill();
    return { ok: false, text: trouble };
  }
  // Held open here: the master dies with EIO once nobody has the slave open.
  const held = openSync(path, constants.O_RDWR | constants.O_NOCTTY);
  child.stdout.on('data', onBytes);
  child.stdin.on('error', () => {});
  return {
    ok: true,
    terminal: { path, write: (bytes) => child.stdin.write(bytes), close: () => end(child, held, path) },
  };
}

/** Null once the link is there, else what stood in the way. */
async function appears(child: ChildProcess, path: string): Promise<string | null> {
  let errorText = '';
  let ended = false;
  child.stderr?.on('data', (text: Buffer) => {
    errorText += text.toString();
  });
  child.once('error', (error: NodeJS.ErrnoException) => {
    errorText =
      error.code === 'ENOENT' ? 'socat is not installed (on Debian: apt-get install socat)' : error.message;
    ended = true;
  });
  child.once('exit', () => {
    ended = true;
  });
  for (let waitedMs = 0; waitedMs < APPEARS_WITHIN_MS && !ended; waitedMs += LOOK_MS) {
    if (existsSync(path)) return null;
    await sleep(LOOK_MS);
  }
  return errorText.trim() || 'socat made no pseudo-terminal';
}

async function end(child: ChildProcess, held: number, path: string): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exited = new Promise((resolve) => child.once('exit', resolve));
  child.kill('SIGKILL');
  await exited;
  closeSync(held);
  rmSync(path, { force: true });
}
