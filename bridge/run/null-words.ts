import type { EventLog } from './event-log.ts';

/** What people have said of a null: where it belongs, and whether it counts. */

export interface AssignedTo {
  cell?: number;
  row?: number;
  set?: number;
}

/** What a `length` event says of itself. */
export function eyeWords(log: EventLog, number: number): AssignedTo {
  const event = log.entries[number - 1].event;
  return event?.kind === 'length' ? said(event) : {};
}

/** What `assign` says of a null, later words over earlier ones. */
export function assignments(log: EventLog, id: string): AssignedTo {
  let words: AssignedTo = {};
  for (const { event } of log.standing('assign')) {
    if (event.null === id) words = { ...words, ...said(event) };
  }
  return words;
}

/** The reason of the last standing `reject` that no `restore` has followed; null where there is none. */
export function rejection(log: EventLog, id: string): string | null {
  let reason: string | null = null;
  for (const { number, event } of log.entries) {
    if (event === null || log.isUndone(number)) continue;
    if (event.kind === 'reject' && event.null === id) reason = event.reason ?? '';
    if (event.kind === 'restore' && event.null === id) reason = null;
  }
  return reason;
}

/** Only what was really said: an absent word must not wipe out an earlier one. */
function said(words: AssignedTo): AssignedTo {
  const picked: AssignedTo = {};
  for (const key of ['cell', 'row', 'set'] as const) {
    if (words[key] !== undefined) picked[key] = words[key];
  }
  return picked;
}
