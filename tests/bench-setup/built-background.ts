import { existsSync } from 'node:fs';
import { Background } from '../../bridge/bench-setup/background.ts';

const ENTRY = new URL('../../dist/bridge/background-worker.js', import.meta.url);

/** The workers of the built program: a thread of Node runs no TypeScript. */
export function builtBackground(): Background {
  if (!existsSync(ENTRY)) throw new Error('npm run build first');
  return new Background(ENTRY);
}
