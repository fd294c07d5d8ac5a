import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { alternate } from './medians.ts';

const ROUNDS = 15;
const CLI = resolve('dist/bridge/cli.js');

function start(...args: string[]): void {
  const run = spawnSync(process.execPath, args, { stdio: 'ignore' });
  if (run.status !== 0) throw new Error(`node ${args.join(' ')} ended with ${run.status}`);
}

/** How long `--help` takes beside a Node that does nothing, in turns. */
export function startUp(): string[] {
  if (!existsSync(CLI)) throw new Error('build first: npm run build');
  const [help, nothing] = alternate(
    ROUNDS,
    () => start(CLI, '--help'),
    () => start('-e', '0'),
  );
  return [
    `cli.js --help ${help.toFixed(0)} ms, node -e 0 ${nothing.toFixed(0)} ms`,
    `ratio ${(help / nothing).toFixed(2)} (wanted: 4 or less; medians of ${ROUNDS} turns)`,
  ];
}
