import type { Bench } from '../bench/bench-file.ts';
import type { Message } from '../calc-core/message.ts';
import type { ComparisonOutcome, InternalResistanceOutcome } from '../calc-core/outcome.ts';
import type { Remark, TypedWorking } from '../calc-core/own-working.ts';
import type { WireLine } from '../calc-core/reference-cell.ts';
import type { RunEvent, RunEventOf } from './events.ts';

/**
 * What a run looks like from outside: plain data, fit for JSON, a function of the recording alone.
 * The page, the report and the exports all read this and compute nothing of their own.
 */

export type FindingCode =
  | 'cell-reversed'
  | 'driver-below-cell'
  | 'driver-current-none'
  | 'driver-reversed'
  | 'galvanometer-reversed'
  | 'wire-broken'
  | 'no-galvanometer-current'
  | 'null-not-bracketed'
  | 'saturated-near-null'
  | 'sensitivity-low'
  | 'galvanometer-clips'
  | 'rate-too-low'
  | 'galvanometer-zero-moved'
  | 'nulls-scatter'
  | 'driver-drift'
  | 'driver-changed-within-set'
  | 'samples-lost'
  | 'lines-damaged'
  | 'board-restarted'
  | 'recording-torn'
  | 'hum-aliased'
  | 'row-unknown'
  | 'cell-unknown'
  | 'too-few-sets'
  | 'end-correction-significant'
  | 'budget-row-absent'
  | 'row-uneven'
  | 'cell-changed'
  | 'set-outlying'
  | 'result-outside-sets'
  | 'bench-file-contradicted'
  | 'calibration-mark-off'
  | 'zero-end-or-row-wrong'
  // ours, beyond the codes of the format
  | 'bench-unknown'
  | 'bench-senseless'
  | 'event-unreadable'
  | 'protection-too-small'
  | 'meters-disagree'
  | 'reference-cell-worked'
  | 'reference-emf-unknown'
  | 'sets-senseless';

export type Severity = 'stop' | 'warn' | 'note';

/** Message so that a technician can act on it. */
export interface Finding extends Message {
  code: FindingCode;
  severity: Severity;
  /** Set and cell it belongs to, where it belongs to one. */
  set?: number;
  cell?: number;
}

export type By = 'sweep' | 'taps' | 'eye';

/** The local picture of a null: what was seen and what was fitted, thinned to a few dozen points, four digits each. It moves with its null. */
export interface NullPicture {
  /** From the null along the wire in cm (along the scale where the row is unknown), and current in microamperes. */
  fromNullCm: number[];
  currentUa: number[];
  /** The fitted curve, sampled. */
  fitFromNullCm: number[];
  fitCurrentUa: number[];
}

export interface NullView {
  /** `n1`, `n2` ... in the order found; never changes meaning. */
  id: string;
  set: number | null;
  cell: number | null;
  row: number | null;
  scaleCm: number;
  /** Null where the row is unknown. */
  lengthCm: number | null;
  /** The length brought to its set's driver current, as it enters the mean; null where it is not used. */
  broughtCm: number | null;
  /** Whole standard uncertainty of the length, position calibration included. */
  uCm: number;
  /** What the readings themselves leave. */
  uReadCm: number;
  /** Protective resistance out: it counts. */
  fine: boolean;
  /** Load resistance across the cell. */
  load: boolean;
  loadOhm: number | null;
  by: By;
  used: boolean;
  /** Why it is not used; null where it is. */
  whyNot: Message | null;
  /** The operator's words on it. */
  rejected: string | null;
  /** Driver current in mA at the null. */
  driverMa: number | null;
  /** Sensitivity at the null in microamperes per mm; null for lengths read by eye. */
  sensitivityUaPerMm: number | null;
  /** Smallest length that can be told: a null so much further along would be seen as another, 95 times in 100. */
  smallestLengthCm: number;
  /** Seconds of board time since the first sample of the run. */
  atS: number;
  picture: NullPicture | null;
}

export interface ComparisonSetView {
  set: number;
  driverMa: number | null;
  l1Cm: number | null;
  u1Cm: number | null;
  uRead1Cm: number | null;
  l2Cm: number | null;
  u2Cm: number | null;
  uRead2Cm: number | null;
  ratio: number | null;
  uRatio: number | null;
}

export interface LoadSetView {
  set: number;
  driverMa: number | null;
  loadOhm: number | null;
  l0Cm: number | null;
  u0Cm: number | null;
  uRead0Cm: number | null;
  lCm: number | null;
  uCm: number | null;
  uReadCm: number | null;
  rOhm: number | null;
  uROhm: number | null;
}

/** A cell of known EMF, at the temperature of the run. */
export interface ReferenceCellView {
  cell: 1 | 2;
  /** In V with its standard uncertainty; null where `trouble` says why it is not known. */
  emfV: number | null;
  uEmfV: number | null;
  /** How a Weston cell's EMF was brought to its temperature; null for any other cell. */
  weston: { formula: string; source: string; emf20V: number; temperatureC: number | null } | null;
  trouble: Message | null;
}

/** The wire as a measure of voltage at the driver current of one set, from the cells of known EMF. */
export interface WireLineView extends WireLine {
  set: number;
  driverMa: number | null;
}

/** What a comparison of two EMFs comes to. */
export interface ComparisonWork {
  procedure: 'emf-comparison';
  sets: ComparisonSetView[];
  /** E1/E2; null while the bench is not known. */
  outcome: ComparisonOutcome | null;
  /** EMF of the other cell in V, where one is a reference cell. */
  emf: ComparisonOutcome | null;
  wireLines: WireLineView[];
}

/** What measuring an internal resistance comes to: a row for each load of each set. */
export interface ResistanceWork {
  procedure: 'internal-resistance';
  sets: LoadSetView[];
  /** r in ohm; null while the bench is not known. */
  outcome: InternalResistanceOutcome | null;
}

/** Sets and what they give, told apart by the procedure. */
export type RunWork = ComparisonWork | ResistanceWork;

export interface StreamCounts {
  samples: number;
  badLines: number;
  lostSamples: number;
  /** How many starts of the board the samples come from: 1 for a run without a restart. */
  boots: number;
}

/** Where a label comes from: sensed by the board, said by the operator, or not known at all. */
export type LabelSource = 'board' | 'operator' | 'unknown';

export interface LabelsView {
  cell: { value: number | null; from: LabelSource };
  row: { value: number | null; from: LabelSource };
  protect: { value: boolean; from: LabelSource };
  load: { value: boolean; from: LabelSource; ohm: number | null; uOhm: number | null };
  set: { value: number; from: LabelSource };
}

/** One reading: lengths in cm, currents in microamperes and milliamperes. */
export interface NowView {
  /** Seconds of board time since the first sample of the run. */
  atS: number;
  /** Null where the board cannot sense it. */
  contact: boolean | null;
  scaleCm: number | null;
  lengthCm: number | null;
  currentUa: number | null;
  saturated: boolean;
  driverMa: number | null;
}

/** A reading for plots. */
export interface LiveReading extends NowView {
  cell: number | null;
  row: number | null;
  protect: boolean;
  load: boolean;
  /** Samples before it are missing. */
  afterGap: boolean;
}

export interface BoardView {
  name: string;
  firmware: string;
  rateHz: number;
  senses: { contact: boolean; cellKey: boolean; protect: boolean; row: boolean; load: boolean };
  channels: string[];
}

/** Where the null of the present cell will be, from what has been learnt so far. */
export interface GuidanceView {
  lengthCm: number;
  /** Half-width in cm within which it is expected. */
  withinCm: number;
  row: number;
  scaleCm: number;
  /** Signed: how far to move the jockey along the wire, in cm; null while its place is unknown. */
  moveCm: number | null;
  basis: 'coarse-null' | 'earlier-sets' | 'voltmeter' | 'readings';
}

/** Which ends of the wire have been touched with a cell in circuit, in whatever set. */
export interface EndsTriedView {
  cell: number;
  a: boolean;
  b: boolean;
}

export interface EventView {
  /** Counted over the `!` lines of the recording, from 1: what `undo` names. */
  number: number;
  ms: number;
  event: RunEvent | null;
  undone: boolean;
}

/** What somebody worked out by hand, and what it is. */
export interface WorkingView extends TypedWorking {
  /** Each whole set and the mean have a number: it may be handed in. */
  isWhole: boolean;
  remarks: Remark[];
}

export interface RunView {
  about: Omit<RunEventOf<'about'>, 'kind'> | null;
  bench: Bench | null;
  board: BoardView | null;
  /** Null before anything is known of the link. */
  linkUp: boolean | null;
  labels: LabelsView;
  now: NowView | null;
  zero: { counts: number; uCounts: number; fileCounts: number; from: 'lifted jockey' | 'bench file' } | null;
  guidance: GuidanceView | null;
  /** No driver current flows; null where that is not measured. */
  keyOpen: boolean | null;
  /** Seconds for which current has flowed through the wire, now and in all; null without a driver channel. */
  wireCurrentS: { now: number; total: number } | null;
  endsTried: EndsTriedView[];
  nulls: readonly NullView[];
  work: RunWork;
  referenceCells: readonly ReferenceCellView[];
  /** What was worked out by hand, with a remark on each number; null where nothing was. */
  working: WorkingView | null;
  /** A teacher keeps them back, and the own working is not handed in. */
  resultsHidden: boolean;
  stream: StreamCounts;
  findings: Finding[];
  events: readonly EventView[];
  /** Whole length of the run in seconds of board time. */
  durationS: number;
}
