import type { RunSession } from '../session/run-session.ts';
import { nullLine } from './null-notes.ts';
import type { Terminal } from './terminal.ts';

const LOOK_MS = 250;

/**
 * Tells the terminal what happens in a session: nulls, the link, trouble with the recording. Returns the way to stop.
 * `progress`: what the terminal's last line says meanwhile; null where that line belongs to another run.
 */
export function watchSession(
  session: RunSession,
  terminal: Terminal,
  progress: (() => string) | null,
): () => void {
  let nulls = 0;
  let trouble: string | null = null;
  const look = () => {
    const found = session.view().nulls;
    for (const one of found.slice(nulls)) terminal.out(nullLine(one));
    nulls = Math.max(nulls, found.length);
    const now = session.recording().trouble?.text ?? null;
    if (now !== trouble) terminal.note(now === null ? 'the recording is written again' : `WARNING: ${now}`);
    trouble = now;
    if (progress !== null) terminal.progress(progress());
  };
  const timer = setInterval(look, LOOK_MS);
  const stopLink = session.onLink((status) => terminal.note(`link: ${status.text}`));
  return () => {
    clearInterval(timer);
    stopLink();
    look();
    if (progress !== null) terminal.progress('');
  };
}
