import { plusMinus } from '../calc-core/rounding.ts';
import type { NullView } from '../run/view.ts';
import type { RunSession } from '../session/run-session.ts';
import type { Terminal } from './terminal.ts';

const LOOK_MS = 250;

/**
 * Tells the terminal what happens in a session: nulls, the link, trouble with the recording. Returns the way to stop. Where
 * nothing has changed, and where nobody sees its progress, the run is not looked at.
 * `progress`: what the terminal's last line says meanwhile; null where that line belongs to another run.
 */
export function watchSession(
  session: RunSession,
  terminal: Terminal,
  progress: (() => string) | null,
): () => void {
  let nulls = 0;
  let trouble: string | null = null;
  let changed = true;
  const tellChange = () => {
    changed = false;
    const found = session.view().nulls;
    for (const one of found.slice(nulls)) terminal.out(nullLine(one));
    nulls = Math.max(nulls, found.length);
    const now = session.recording().trouble?.text ?? null;
    if (now !== trouble) terminal.note(now === null ? 'the recording is written again' : `WARNING: ${now}`);
    trouble = now;
  };
  const look = () => {
    if (changed) tellChange();
    if (progress !== null) terminal.progress(progress);
  };
  const timer = setInterval(look, LOOK_MS);
  const stops = [
    session.onChange(() => {
      changed = true;
    }),
    session.onLink((status) => terminal.note(`link: ${status.text}`)),
  ];
  return () => {
    clearInterval(timer);
    for (const stop of stops) stop();
    tellChange();
    if (progress !== null) terminal.progress('');
  };
}

/** One null in a line, as it is found. */
function nullLine(found: NullView): string {
  const where =
    found.lengthCm === null
      ? `scale ${plusMinus(found.scaleCm, found.uCm, 'cm')}, row unknown`
      : plusMinus(found.lengthCm, found.uCm, 'cm');
  const kind = found.fine ? 'fine' : 'coarse';
  return `${found.id}: set ${found.set ?? '?'}, cell ${found.cell ?? '?'}, ${where} (${kind}, ${found.by})`;
}
