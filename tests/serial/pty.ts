import { Buffer } from 'node:buffer';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openPseudoTerminal } from '../../bridge/emulate/pseudo-terminal.ts';

/** A real pseudo-terminal with the test at its far end: what a board would be. */
export interface Pty {
  path: string;
  /** Writes bytes as the board, text one character a byte. */
  send(bytes: string | Buffer): void;
  /** What the bridge has written so far, latin1. */
  received(): string;
  /** Pulls the cable. */
  unplug(): Promise<void>;
}

export const temporaryFolder = (): string => mkdtempSync(join(tmpdir(), 'tenwire-test-'));

export async function plugIn(path: string): Promise<Pty> {
  let received = '';
  const opened = await openPseudoTerminal(path, (bytes) => {
    received += Buffer.from(bytes).toString('latin1');
  });
  if (!opened.ok) throw new Error(opened.text);
  const { terminal } = opened;
  return {
    path,
    send: (bytes) => terminal.write(typeof bytes === 'string' ? Buffer.from(bytes, 'latin1') : bytes),
    received: () => received,
    unplug: () => terminal.close(),
  };
}
