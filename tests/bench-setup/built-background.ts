import { pathToFileURL } from 'node:url';
import { Background } from '../../bridge/bench-setup/background.ts';
import { builtPath } from '../built.ts';

/** The workers of the built program: a thread of Node runs no TypeScript. */
export const builtBackground = (): Background =>
  new Background(pathToFileURL(builtPath('bridge/background-worker.js')));
