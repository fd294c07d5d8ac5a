import type { EventLog } from './event-log.ts';

/** What people have said of nulls: where each belongs, and whether it counts. */

export interface AssignedTo {
  cell?: number;
  row?: number;
  set?: number;
}

export interface NullWords {
  /** What standing `assign` events say, later ones above earlier ones. */
  assigned: AssignedTo;
  /** The reason of the last standing `reject` that no `restore` has followed; null where there is none. */
  rejected: string | null;
}

const NOTHING_SAID: NullWords = { assigned: {}, rejected: null };

/** The words that stand, by the id of the null that they are about. */
export function wordsOnNulls(log: EventLog): (id: string) => NullWords {
  const byId = new Map<string, NullWords>();
  const wordsOn = (id: string) => byId.get(id) ?? NOTHING_SAID;
  for (const { number, event } of log.entries) {
    if (event === null || log.isUndone(number)) continue;
    if (event.kind === 'reject')
      byId.set(event.null, { ...wordsOn(event.null), rejected: event.reason ?? '' });
    if (event.kind === 'restore') byId.set(event.null, { ...wordsOn(event.null), rejected: null });
    if (event.kind !== 'assign') continue;
    const words = wordsOn(event.null);
    byId.set(event.null, { ...words, assigned: { ...words.assigned, ...assignedIn(event) } });
  }
  return wordsOn;
}

/** Only what was really said: an absent word must not wipe out an earlier one. */
export function assignedIn(words: AssignedTo): AssignedTo {
  const picked: AssignedTo = {};
  for (const key of ['cell', 'row', 'set'] as const) {
    if (words[key] !== undefined) picked[key] = words[key];
  }
  return picked;
}
