import type { RunEvent } from '../../bridge/run/events.ts';
import type { LiveReading, RunView } from '../../bridge/run/view.ts';
import type { PlaybackCommand, Session } from '../../bridge/session/session.ts';
import type { HandOrder, HandState } from '../../bridge/simulate/hand-commands.ts';
import { sampleView } from './sample-view.ts';

type Listener<Args extends unknown[]> = (...args: Args) => void;

function subscribers<Args extends unknown[]>() {
  const all = new Set<Listener<Args>>();
  return {
    add: (listener: Listener<Args>) => {
      all.add(listener);
      return () => all.delete(listener);
    },
    call: (...args: Args) => {
      for (const listener of all) listener(...args);
    },
    count: () => all.size,
  };
}

/** A session that a test drives by hand; what it was told is kept. */
export function handDrivenSession(id = 'bench-4') {
  const readings = subscribers<[LiveReading]>();
  const changes = subscribers<[]>();
  const beginnings = subscribers<[]>();
  let view = sampleView();
  const recorded: RunEvent[] = [];
  const played: PlaybackCommand[] = [];
  const ordered: HandOrder[] = [];
  const session: Session = {
    summary: { id, title: 'Bench 4', kind: 'live' },
    view: () => view,
    onReading: readings.add,
    onChange: changes.add,
    onAnew: beginnings.add,
    recordEvent: (event) => {
      recorded.push(event);
      return { ok: true };
    },
    recording: () => ({ file: 'bench-4.rec', trouble: null }),
    playback: () => null,
    hand: () => ({ order: (order) => ordered.push(order), state: restingHand }),
    play: (command) => {
      played.push(command);
      return { ok: true };
    },
  };
  return {
    session,
    recorded,
    played,
    ordered,
    listeners: () => readings.count() + changes.count() + beginnings.count(),
    change(next: Partial<RunView>) {
      view = { ...view, ...next };
      changes.call();
    },
    read(reading: Partial<LiveReading>) {
      readings.call({ ...sampleReading, ...reading });
    },
    beginAnew: () => beginnings.call(),
  };
}

const restingHand: HandState = {
  place: { row: 1, scaleCm: 50 },
  to: { row: 1, scaleCm: 50 },
  pressed: false,
  down: false,
  switches: { keyClosed: true, cell: 1, protect: true, load: false, rheostatOhm: 4, leadOhm: 0 },
  busy: false,
};

const sampleReading: LiveReading = {
  atS: 0,
  contact: true,
  scaleCm: 50,
  lengthCm: 750,
  currentUa: 1,
  saturated: false,
  driverMa: 100,
  cell: 1,
  row: 8,
  protect: false,
  load: false,
  afterGap: false,
};
