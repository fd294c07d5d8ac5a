import type { Bench, BenchFault } from '../bench/bench-file.ts';
import type { BenchReader } from '../bench/reading.ts';
import type { Deflection } from '../detect/deflections.ts';
import type { FoundNull, Wasted } from '../detect/detector.ts';
import type { LagEstimator } from '../detect/lag.ts';
import type { ZeroHistory } from '../detect/lifted-level.ts';
import type { Span } from '../samples/board.ts';
import type { DriverHistory } from './driver-history.ts';
import type { EventLog } from './event-log.ts';
import type { Sensed, TouchLabels } from './switches.ts';
import type { BoardView, LiveReading, RunView, StreamCounts } from './view.ts';

/** What the records of a run have told: plain data, made by `RunStateBuilder`, read by all that is worked out of a run. */

/**
 * All but what changes with every sample. Nothing in it changes: a record that tells anything new makes a new state, in which
 * the parts that it does not touch are the same objects as before.
 */
export interface RunState {
  /** The one part that grows; `events` says how far it counts. */
  readonly log: EventLog;
  readonly events: number;
  readonly board: BoardState;
  readonly losses: Losses;
  /** In the order in which they came into force; the last one is in force. */
  readonly benches: readonly BenchState[];
  /** `bench` events that could not be used, by the numbers of the events. */
  readonly benchFaults: readonly { number: number; faults: BenchFault[] }[];
  /** In the order found: the first is `n1`. */
  readonly lengths: readonly FoundLength[];
  /** What touches showed of the connections; the newest few thousand. */
  readonly evidence: readonly Evidence[];
  /** Touches that taught nothing; the newest few hundred. */
  readonly wasted: readonly WastedTouch[];
  /** Null without a driver channel. */
  readonly driver: DriverHistory | null;
  /** By the newest sample; null before the first. */
  readonly sensed: Sensed | null;
  /** The cell with which nothing has deflected for so long that it is worth a word; null where there is none. */
  readonly stillCell: number | null;
  /** Null before anything is known of the link. */
  readonly linkUp: boolean | null;
  /** The recording ended in the middle of a line, which is left out. */
  readonly torn: boolean;
}

/** Damaged lines, samples that never came, and how many starts of the board the samples come from. */
export type Losses = Omit<StreamCounts, 'samples'>;

export interface BoardState {
  /** Null before it has said who it is. */
  readonly view: BoardView | null;
  /** Null for a channel that the board does not have. */
  readonly spans: Readonly<Record<'gal' | 'pos' | 'drv', Span | null>>;
}

/** A bench that came into force, and what is known of its galvanometer; one that comes again is another. */
export interface BenchState {
  readonly reader: BenchReader;
  readonly zero: ZeroHistory;
  readonly lag: LagEstimator;
}

/** A null as the detection found it, or a length read by eye. */
export type FoundLength = FoundByBoard | ReadByEye;

export interface FoundByBoard {
  readonly by: 'board';
  readonly found: FoundNull<TouchLabels>;
  /** Of the bench in force, from 0. */
  readonly benchIndex: number;
}

export interface ReadByEye {
  readonly by: 'eye';
  /** Number of its event. */
  readonly event: number;
  /** What the board and people said when it was read. */
  readonly labels: TouchLabels;
  readonly tS: number;
}

/** What one touch showed of the connections. */
export interface Evidence {
  readonly labels: TouchLabels;
  readonly deflections: readonly Deflection[];
  /** Driver current in mA at the time; null without a driver channel. */
  readonly driverMa: number | null;
}

/** A touch that taught nothing, with what the board and people said then. */
export interface WastedTouch extends Wasted {
  readonly labels: TouchLabels;
}

/** What changes with every sample. */
export interface PresentState {
  readonly samples: number;
  /** The newest reading. */
  readonly now: LiveReading | null;
  /** Driver current in mA, averaged over a quarter of a second; null where nothing was measured. */
  readonly driverMa: number | null;
  readonly keyOpen: RunView['keyOpen'];
  readonly wireCurrentS: RunView['wireCurrentS'];
  /** Standard deviation of one sample of the galvanometer in counts; 0 where no bench is known. */
  readonly noiseCounts: number;
}

/** The bench file in force; null before the first that can be used. */
export const benchOf = ({ benches }: RunState): Bench | null =>
  benches[benches.length - 1]?.reader.bench ?? null;
