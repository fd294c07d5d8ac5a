import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { until } from '../until.ts';

/** Debian's Mosquitto at a port of loopback, killed and started again at will. */
export class Mosquitto {
  readonly port: number;
  readonly #folder = mkdtempSync(join(tmpdir(), 'tenwire-mosquitto-'));
  readonly #configuration: string;
  #child: ChildProcess | null = null;

  /** @param configuration what stands in its file; where absent, everybody is let in and nothing outlives it */
  constructor(port: number, configuration = `listener ${port} 127.0.0.1\nallow_anonymous true\n`) {
    this.port = port;
    this.#configuration = configuration;
  }

  async start(): Promise<void> {
    const binary = ['/usr/sbin/mosquitto', '/usr/local/sbin/mosquitto'].find(existsSync);
    if (binary === undefined) throw new Error('Mosquitto is needed: on Debian, apt-get install mosquitto');
    const file = join(this.#folder, 'mosquitto.conf');
    writeFileSync(file, this.#configuration);
    // As root it would look for a user of its own.
    const child = spawn(binary, ['-c', file], { stdio: ['ignore', 'ignore', 'pipe'] });
    let said = '';
    child.stderr.on('data', (text) => {
      said += text;
    });
    this.#child = child;
    let isThere = false;
    const look = () => {
      if (child.exitCode !== null) throw new Error(`Mosquitto ended: ${said}`);
      const socket = connect(this.port, '127.0.0.1', () => {
        isThere = true;
        socket.destroy();
      });
      socket.on('error', () => socket.destroy());
      return isThere;
    };
    await until(look, 'Mosquitto');
  }

  async stop(signal: NodeJS.Signals = 'SIGTERM'): Promise<void> {
    const child = this.#child;
    this.#child = null;
    if (child === null || child.exitCode !== null) return;
    child.kill(signal);
    await once(child, 'exit');
    if (signal === 'SIGTERM') rmSync(this.#folder, { recursive: true, force: true });
  }
}
