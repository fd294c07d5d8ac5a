import type { ChildProcess } from 'node:child_process';
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { builtPath } from '../built.ts';
import { until } from '../until.ts';

/** The program as it is shipped, from the sources as they are now. */
export interface Tenwire {
  /** Runs a command to its end, nothing on its input. */
  run(args: string[], options?: { cwd?: string }): { code: number | null; out: string; err: string };
  start(args: string[], options?: StartOptions): Running;
}

export interface StartOptions {
  cwd?: string;
  env?: NodeJS.ProcessEnv;
  /** For Node itself, before the program. */
  nodeFlags?: string[];
}

export interface Running {
  child: ChildProcess;
  out(): string;
  err(): string;
  /** Resolves to the exit code. */
  ended: Promise<number | null>;
}

export function builtTenwire(): Tenwire {
  const cli = builtPath('bridge/cli.js');
  return {
    run(args, options = {}) {
      const run = spawnSync(process.execPath, [cli, ...args], { ...options, encoding: 'utf8', input: '' });
      return { code: run.status, out: run.stdout, err: run.stderr };
    },
    start: (args, options = {}) => start(cli, args, options),
  };
}

/** The address of the page that a running program serves. */
export async function pageAddress({ child, out, err }: Running, patienceMs?: number): Promise<string> {
  const address = () => /page: (\S+)/.exec(out())?.[1];
  const isThere = () => {
    if (child.exitCode !== null) throw new Error(`the program ended: ${err()}`);
    return address() !== undefined;
  };
  await until(isThere, 'the page', patienceMs);
  return address() ?? '';
}

function start(cli: string, args: string[], { nodeFlags = [], ...options }: StartOptions): Running {
  const child = spawn(process.execPath, [...nodeFlags, cli, ...args], {
    ...options,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let err = '';
  child.stdout.on('data', (text) => {
    out += text;
  });
  child.stderr.on('data', (text) => {
    err += text;
  });
  const ended = once(child, 'close').then(([code]) => code as number | null);
  return { child, out: () => out, err: () => err, ended };
}
