import type { RunEvent } from '../run/events.ts';
import type { RunView } from '../run/view.ts';

/** Kinds of which the last one holds for every sample to come. */
const HOLD: readonly RunEvent['kind'][] = [
  'procedure',
  'set',
  'cell',
  'row',
  'protect',
  'load',
  'ammeter',
  'working',
];

/** What was said of a run and holds for what comes next: bench, whose run, and the last word on each thing not sensed. */
export function eventsInForce({ events, about }: Pick<RunView, 'events' | 'about'>): RunEvent[] {
  const standing = events.flatMap(({ event, undone }) => (event === null || undone ? [] : [event]));
  const last = (kind: RunEvent['kind']) => standing.findLast((event) => event.kind === kind) ?? [];
  return [
    ...[last('bench')].flat(),
    ...(about === null ? [] : [{ kind: 'about' as const, ...about }]),
    ...HOLD.flatMap(last),
    // It is never taken back, whatever an undo says.
    ...[events.findLast(({ event }) => event?.kind === 'results')?.event ?? []].flat(),
  ];
}
