import type { EventLog } from './event-log.ts';
import type { RunView } from './view.ts';

/** Names as they are typed, set off by commas. */
export const namesIn = (typed: string): string[] =>
  typed
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '');

/** What a laboratory writes at the head of a record beside names: fields of an `about` event, ours beyond the fixed format. */
export const HEAD_FIELDS = ['institution', 'course', 'experiment', 'group'] as const;
export type Head = Partial<Record<(typeof HEAD_FIELDS)[number], string>>;

/** The fields of a head that are stated. An outside writer may mean something else by one, and no text: it is left out. */
export const headIn = (about: object | null): Head =>
  Object.fromEntries(
    Object.entries(about ?? {}).filter(
      ([name, said]) =>
        HEAD_FIELDS.some((field) => field === name) && typeof said === 'string' && said !== '',
    ),
  );

/** Whose run and when: later words on it add to earlier ones. */
export function aboutOf(log: EventLog): RunView['about'] {
  const said = log.standing('about').map(({ event: { kind: _, ...words } }) => words);
  return said.length === 0 ? null : Object.assign({}, ...said);
}

/** Room temperature in °C as it was last stated. */
export const runTemperatureC = (log: EventLog): number | null =>
  log.last('about', log.count, ({ temperatureC }) => temperatureC !== undefined)?.temperatureC ?? null;
