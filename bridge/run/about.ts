import type { RunFold } from './fold.ts';
import type { RunView } from './view.ts';

/** Whose run and when: later words on it add to earlier ones. */
export function aboutOf(fold: RunFold): RunView['about'] {
  const said = fold.log.standing('about').map(({ event: { kind: _, ...words } }) => words);
  return said.length === 0 ? null : Object.assign({}, ...said);
}

/** Room temperature in °C as it was last stated. */
export const runTemperatureC = (fold: RunFold): number | null =>
  fold.log.standing('about').findLast(({ event }) => event.temperatureC !== undefined)?.event.temperatureC ??
  null;
