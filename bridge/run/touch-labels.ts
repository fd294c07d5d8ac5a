import type { BenchReader } from '../bench/reading.ts';
import type { Sample } from '../samples/board.ts';
import type { EventLog } from './event-log.ts';
import type { RunEventOf } from './events.ts';

/**
 * What holds for a touch. What the board senses is kept as sensed; what only people can say is kept as a place
 * in the event log, so that words taken back or mended later change the labels and nothing else.
 */
export interface TouchLabels {
  bench: BenchReader;
  /** Events on record when the touch was made. */
  events: number;
  sensedCell: number | null;
  sensedRow: number | null;
  sensedProtect: boolean | null;
  sensedLoad: boolean | null;
}

export interface Labels {
  cell: number | null;
  row: number | null;
  protect: boolean;
  load: boolean;
  loadOhm: number | null;
  uLoadOhm: number | null;
}

const knownCell = (cell: number | null): number | null => (cell === 1 || cell === 2 ? cell : null);

/** Labels of a touch in the light of the words that stand. */
export function resolveLabels(touch: TouchLabels, log: EventLog): Labels {
  const { rows } = touch.bench.bench.wire;
  const row = rows === 1 ? 1 : (touch.sensedRow ?? log.last('row', touch.events)?.row ?? null);
  const load = log.last('load', touch.events);
  return {
    cell: knownCell(touch.sensedCell ?? log.last('cell', touch.events)?.cell ?? null),
    row: row !== null && row >= 1 && row <= rows ? row : null,
    protect: touch.sensedProtect ?? log.last('protect', touch.events)?.in ?? false,
    load: touch.sensedLoad ?? load?.in ?? false,
    loadOhm: loadNamed(log, touch.events)?.ohm ?? null,
    uLoadOhm: loadNamed(log, touch.events)?.uOhm ?? null,
  };
}

/** The last word that named the load's resistance: a word that only takes it out need not repeat it. */
export function loadNamed(log: EventLog, events: number): RunEventOf<'load'> | null {
  for (let index = Math.min(events, log.count) - 1; index >= 0; index -= 1) {
    const { event, number } = log.entries[index];
    if (event?.kind === 'load' && event.ohm !== undefined && !log.isUndone(number)) return event;
  }
  return null;
}

/** Whether a reading still belongs to the touch labels in force. */
export const sameLabels = (
  labels: TouchLabels,
  sample: Sample,
  bench: BenchReader,
  events: number,
): boolean =>
  labels.bench === bench &&
  labels.events === events &&
  labels.sensedCell === sample.cell &&
  labels.sensedRow === sample.row &&
  labels.sensedProtect === sample.protect &&
  labels.sensedLoad === sample.load;

type Sensed = Pick<Sample, 'cell' | 'row' | 'protect' | 'load'>;

export const labelsOf = (sample: Sensed, bench: BenchReader, events: number): TouchLabels => ({
  bench,
  events,
  sensedCell: sample.cell,
  sensedRow: sample.row,
  sensedProtect: sample.protect,
  sensedLoad: sample.load,
});

/** Kinds of events after which touches are labelled differently. */
export const RELABELLING = new Set(['cell', 'row', 'protect', 'load', 'set', 'bench', 'undo']);
