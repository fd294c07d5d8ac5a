import type { BenchReader, Sensed } from '../bench/reading.ts';
import { inForce } from '../bench/reading.ts';
import type { EventLog } from './event-log.ts';
import type { RunEventOf } from './events.ts';
import { WordsAt } from './spoken-words.ts';

/**
 * What holds for a touch. What the board senses is kept as sensed; what only people can say is kept as a place
 * in the event log, so that words taken back or mended later change the labels and nothing else.
 */
export interface TouchLabels {
  bench: BenchReader;
  /** Events on record when the touch was made. */
  events: number;
  sensed: Sensed;
}

export interface Labels {
  /** The cell that the two-way key puts in circuit; null where that is none, both or not known. */
  cell: number | null;
  row: number | null;
  protect: boolean;
  load: boolean;
  loadOhm: number | null;
  uLoadOhm: number | null;
}

/** Labels of a touch in the light of the words that stand. */
export function resolveLabels({ bench, events, sensed }: TouchLabels, log: EventLog): Labels {
  const { cell, row, protect, load } = inForce(sensed, new WordsAt(log, events), bench.bench.wire.rows);
  const named = loadNamed(log, events);
  return {
    cell: cell === 1 || cell === 2 ? cell : null,
    row,
    protect,
    load,
    loadOhm: named?.ohm ?? null,
    uLoadOhm: named?.uOhm ?? null,
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
  sample: Sensed,
  bench: BenchReader,
  events: number,
): boolean => labels.bench === bench && labels.events === events && sameSensed(labels.sensed, sample);

/** Whether the board senses the bench's keys and the jockey's row as it did. */
export const sameSensed = (before: Sensed, now: Sensed): boolean =>
  before.cell === now.cell &&
  before.row === now.row &&
  before.protect === now.protect &&
  before.load === now.load;

const NOTHING_SENSED: Sensed = { cell: null, row: null, protect: null, load: null };

/** @param sample null before the first */
export const labelsOf = (sample: Sensed | null, bench: BenchReader, events: number): TouchLabels => ({
  bench,
  events,
  sensed: sensedIn(sample),
});

/** Nothing but the keys and the row of a sample. */
export function sensedIn(sample: Sensed | null): Sensed {
  const { cell, row, protect, load } = sample ?? NOTHING_SENSED;
  return { cell, row, protect, load };
}

/** Kinds of events after which touches are labelled differently. */
export const RELABELLING = new Set(['cell', 'row', 'protect', 'load', 'set', 'bench', 'undo']);
