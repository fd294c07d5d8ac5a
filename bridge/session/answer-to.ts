import { message } from '../messages/catalogue.ts';
import type { RunEvent } from '../run/events.ts';
import type { RunView } from '../run/view.ts';
import type { Answer } from './session.ts';

/** Whether what an operator says can be meant: it must name a null or an event that there is. */
export function answerTo(event: RunEvent, view: RunView): Answer {
  if (event.kind === 'undo') return undoable(event.event, view);
  if (event.kind !== 'reject' && event.kind !== 'restore' && event.kind !== 'assign') return { ok: true };
  const id = event.null;
  if (view.nulls.some((found) => found.id === id)) return { ok: true };
  return { ok: false, ...message('no-such-null', { id }) };
}

function undoable(number: number, view: RunView): Answer {
  const said = view.events.find((event) => event.number === number);
  if (said === undefined) return { ok: false, ...message('no-such-event', { event: number }) };
  if (said.undone) return { ok: false, ...message('event-taken-back', { event: number }) };
  if (said.event?.kind === 'results') return { ok: false, ...message('results-not-taken-back') };
  if (concernsBench(number, view)) return { ok: false, ...message('bench-not-taken-back') };
  return { ok: true };
}

/** A `bench` event, or one that takes one back: lines that have been read by a bench file are not read again. */
function concernsBench(number: number, view: RunView): boolean {
  const event = view.events[number - 1]?.event;
  if (event?.kind !== 'undo') return event?.kind === 'bench';
  return event.event < number && concernsBench(event.event, view);
}
