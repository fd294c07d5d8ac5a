import type { ChildProcess } from 'node:child_process';
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** The program, bundled as it is shipped, from the sources as they are now. */
export interface Tenwire {
  /** Runs a command to its end, nothing on its input. */
  run(args: string[], options?: { cwd?: string }): { code: number | null; out: string; err: string };
  start(args: string[], options?: StartOptions): Running;
  remove(): void;
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

/** `pageFolder`: the built page, for tests that look at it. */
export function buildTenwire(pageFolder: string | null = null): Tenwire {
  mkdirSync(join(ROOT, '.cache'), { recursive: true });
  const folder = mkdtempSync(join(ROOT, '.cache', 'test-cli-'));
  const rolldown = join(ROOT, 'node_modules/rolldown/bin/cli.mjs');
  const built = spawnSync(
    process.execPath,
    [rolldown, '-c', 'rolldown.config.mjs', '-d', join(folder, 'bridge')],
    {
      cwd: ROOT,
      encoding: 'utf8',
    },
  );
  if (built.status !== 0) throw new Error(`${built.stdout}${built.stderr}`);
  const web = join(folder, 'web');
  mkdirSync(web);
  if (pageFolder === null) writeFileSync(join(web, 'index.html'), '<!doctype html><title>page</title>');
  else cpSync(pageFolder, web, { recursive: true });
  const cli = join(folder, 'bridge/cli.js');
  return {
    run(args, options = {}) {
      const run = spawnSync(process.execPath, [cli, ...args], { ...options, encoding: 'utf8', input: '' });
      return { code: run.status, out: run.stdout, err: run.stderr };
    },
    start: (args, options = {}) => start(cli, args, options),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
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
