import type { BenchReader, SwitchPositions } from '../bench/reading.ts';
import type { Sample } from '../samples/board.ts';
import type { DriverHistory } from './driver-history.ts';
import type { EventLog } from './event-log.ts';
import type { RunEventOf } from './events.ts';
import type { AssignedTo } from './null-words.ts';

/**
 * How the switches of the bench stand at a time, and to which set it belongs: what the board senses stands above what the
 * operator has said. Words may be taken back or mended later, so what was sensed is kept as sensed, and what was said as a
 * place in the event log.
 */

/** What the board senses of the bench's switches and the jockey's row; null where it senses nothing. */
export type Sensed = Pick<Sample, 'cell' | 'row' | 'protect' | 'load'>;

/** What tells how the switches stood when the jockey touched. */
export interface TouchLabels {
  bench: BenchReader;
  /** Events on record when the touch was made. */
  events: number;
  sensed: Sensed;
}

/** How the switches stood at a touch. */
export interface Labels extends SwitchPositions {
  loadOhm: number | null;
  uLoadOhm: number | null;
}

/**
 * As sensed, and as said where nothing is sensed. A row that the wire does not have is none.
 * @param rows of the wire; null where the bench is not known
 */
export function resolveSwitches(
  sensed: Sensed,
  said: Readonly<SwitchPositions>,
  rows: number | null,
): SwitchPositions {
  const row = sensed.row ?? said.row;
  const isThere = row !== null && row >= 1 && (rows === null || row <= rows);
  return {
    cell: sensed.cell ?? said.cell,
    row: rows === 1 ? 1 : isThere ? row : null,
    protect: sensed.protect ?? said.protect,
    load: sensed.load ?? said.load,
  };
}

/** What the operator's words say, those taken back left out. Each is looked for when it is asked for: mostly the board senses all. */
export class SaidSwitches implements SwitchPositions {
  private readonly log: EventLog;
  private readonly events: number;

  /** @param events how many events were on record */
  constructor(log: EventLog, events: number) {
    this.log = log;
    this.events = events;
  }

  get cell(): number | null {
    return this.log.last('cell', this.events)?.cell ?? null;
  }

  get row(): number | null {
    return this.log.last('row', this.events)?.row ?? null;
  }

  get protect(): boolean {
    return this.log.last('protect', this.events)?.in ?? false;
  }

  get load(): boolean {
    return this.log.last('load', this.events)?.in ?? false;
  }
}

/** What the operator's words say, asked for with every sample: the last answer is kept. */
export class LatestSaidSwitches {
  private readonly log: EventLog;
  private kept: { events: number; ofCount: number; said: SwitchPositions } | null = null;

  constructor(log: EventLog) {
    this.log = log;
  }

  /** @param events how many events were on record */
  at(events: number): SwitchPositions {
    if (this.kept === null || this.kept.events !== events || this.kept.ofCount !== this.log.count) {
      const { cell, row, protect, load } = new SaidSwitches(this.log, events);
      this.kept = { events, ofCount: this.log.count, said: { cell, row, protect, load } };
    }
    return this.kept.said;
  }
}

/** How the switches stood at a touch, in the light of the words that stand. `cell` is null for none and for both, too. */
export function switchesOfTouch({ bench, events, sensed }: TouchLabels, log: EventLog): Labels {
  const said = new SaidSwitches(log, events);
  const { cell, row, protect, load } = resolveSwitches(sensed, said, bench.bench.wire.rows);
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

/** The same for a null: where the operator says to which cell and row it belongs, that stands above all else. */
export function switchesOfNull(touch: TouchLabels, assigned: AssignedTo, log: EventLog): Labels {
  const labels = switchesOfTouch(touch, log);
  return { ...labels, cell: assigned.cell ?? labels.cell, row: assigned.row ?? labels.row };
}

/** The last word that named the load's resistance: a word that only takes it out need not repeat it. */
export const loadNamed = (log: EventLog, events: number): RunEventOf<'load'> | null =>
  log.last('load', events, ({ ohm }) => ohm !== undefined);

/** The set a touch belongs to: as said, or by the driver current. */
export function setOfTouch(
  { events }: TouchLabels,
  tS: number,
  log: EventLog,
  driver: DriverHistory | null,
): number {
  if (log.last('set') !== null) return log.last('set', events)?.set ?? 1;
  return driver?.setAt(tS) ?? 1;
}

const NOTHING_SENSED: Sensed = { cell: null, row: null, protect: null, load: null };

/** Nothing but the switches and the row of a sample. @param sample null before the first */
export function sensedIn(sample: Sensed | null): Sensed {
  const { cell, row, protect, load } = sample ?? NOTHING_SENSED;
  return { cell, row, protect, load };
}

/** Whether the board senses the bench's switches and the jockey's row as it did. */
export const sameSensed = (before: Sensed, now: Sensed): boolean =>
  before.cell === now.cell &&
  before.row === now.row &&
  before.protect === now.protect &&
  before.load === now.load;

/** Kinds of events after which touches are labelled otherwise. */
export const RELABELLING = new Set(['cell', 'row', 'protect', 'load', 'set', 'bench', 'undo']);
