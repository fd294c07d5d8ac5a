import { Broadcast } from './broadcast.ts';
import type { Session, SessionSummary } from './session.ts';

/** The id by which a port that is open for set-up alone is asked for, in place of a run's. */
export const SET_UP = 'set-up';

/** The runs that one server shows. Nothing is global: each server is given its own. */
export interface SessionRegistry {
  add(session: Session): void;
  remove(id: string): void;
  get(id: string): Session | undefined;
  list(): SessionSummary[];
  onChange(listener: () => void): () => void;
}

export function sessionRegistry(): SessionRegistry {
  const sessions = new Map<string, Session>();
  const changes = new Broadcast<void>();
  return {
    add(session) {
      sessions.set(session.summary.id, session);
      changes.tell();
    },
    remove(id) {
      if (sessions.delete(id)) changes.tell();
    },
    get: (id) => sessions.get(id),
    list: () => [...sessions.values()].map((session) => session.summary),
    onChange: (listener) => changes.on(listener),
  };
}
