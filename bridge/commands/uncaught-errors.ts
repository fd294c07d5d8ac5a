import type { Terminal } from './terminal.ts';

const MOST_TOLD = 5;

/**
 * A mistake of ours in a calculation or an answer must not end a recording that can't be repeated, nor the page: lines
 * are written before they are folded, and go on being written.
 */
export function reportUncaughtErrors(terminal: Terminal): void {
  let told = 0;
  process.on('uncaughtException', (error) => {
    told += 1;
    if (told > MOST_TOLD) return;
    terminal.note(`an error inside tenwire (the program goes on; please report this): ${error.stack}`);
  });
}
