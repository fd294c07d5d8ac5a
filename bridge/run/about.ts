import type { EventLog } from './event-log.ts';
import type { RunView } from './view.ts';

/** Whose run and when: later words on it add to earlier ones. */
export function aboutOf(log: EventLog): RunView['about'] {
  const said = log.standing('about').map(({ event: { kind: _, ...words } }) => words);
  return said.length === 0 ? null : Object.assign({}, ...said);
}

/** Room temperature in °C as it was last stated. */
export const runTemperatureC = (log: EventLog): number | null =>
  log.last('about', log.count, ({ temperatureC }) => temperatureC !== undefined)?.temperatureC ?? null;
