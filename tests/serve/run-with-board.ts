import { message } from '../../bridge/messages/catalogue.ts';
import { handDrivenSession } from './hand-driven-session.ts';

/** A run with a board, and how many listen to its lines. */
export function runWithBoard(id: string) {
  const listeners = new Set<(line: string) => void>();
  const session = {
    ...handDrivenSession(id).session,
    link: () => ({ ...message('link-not-started'), port: null }),
    onLine(listener: (line: string) => void) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
  const say = (lines: string) => {
    for (const line of lines.split('\n').filter(Boolean)) for (const hear of listeners) hear(line);
  };
  return { session, listeners, say };
}
