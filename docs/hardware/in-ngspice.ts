import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/**
 * Runs a netlist in ngspice (Debian package), in a folder of its own; `read` gets what it printed, and the folder that its files are in.
 * @param longestMs for how long it may look for a solution
 * @throws Error where ngspice is not installed (`apt-get install ngspice`); with the code ETIMEDOUT where it took too long.
 */
export function inNgspice<Answer>(
  netlist: readonly string[],
  read: (printed: string, folder: string) => Answer,
  longestMs?: number,
): Answer {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-ngspice-'));
  try {
    writeFileSync(join(folder, 'circuit.cir'), netlist.join('\n'));
    const printed = execFileSync('ngspice', ['-b', 'circuit.cir'], {
      cwd: folder,
      encoding: 'utf8',
      timeout: longestMs,
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    return read(printed, folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
