import type { BY_EYE_CM } from '../bench/by-eye.ts';
import type { CalibrationFit, HeldReading } from '../bench/calibrate.ts';
import type { Message, Refused } from '../calc-core/message.ts';
import type { Plan } from '../calc-core/plan.ts';
import type { RunEvent } from '../run/events.ts';
import type { NextStep } from '../run/next-step.ts';
import type { NowView, NullView, RunView } from '../run/view.ts';
import type { HandOrder, HandState } from '../simulate/hand-commands.ts';

/**
 * What goes over the WebSocket between the bridge and a page: JSON texts, version 1. Types only.
 *
 * The bridge greets with `welcome`; the page opens a session; the bridge sends frames of it at display rate.
 * Every frame is acknowledged. While two are under way nothing more is sent: what comes meanwhile is put
 * together into the next one, so a slow page gets fewer frames and never old ones.
 */

export type { Bench } from '../bench/bench-file.ts';
export type { CalibrationFit, CalibrationPoint, HeldReading } from '../bench/calibrate.ts';
export type { Message, MessageDescriptor, Refused } from '../calc-core/message.ts';
export type { BudgetRow, Outcome } from '../calc-core/outcome.ts';
export type { Plan } from '../calc-core/plan.ts';
export type { Words } from '../messages/catalogue.ts';
export type { RunEvent } from '../run/events.ts';
export type { NextStep } from '../run/next-step.ts';
export type {
  ComparisonSetView,
  ComparisonWork,
  EventView,
  Finding,
  FindingCode,
  LoadSetView,
  NowView,
  NullView,
  RunView,
  RunWork,
} from '../run/view.ts';
export type { HandOrder, HandState } from '../simulate/hand-commands.ts';

/** The page imports types only: this one lets no other number pass for the bridge's. */
export type ByEyeCm = typeof BY_EYE_CM;

/** A page that steers may send operator events; one that watches may not. */
export type Role = 'steer' | 'watch';

export type SessionKind = 'live' | 'simulated' | 'replay';

/** One run that the bridge holds, as it stands in the list. */
export interface SessionSummary {
  id: string;
  title: string;
  kind: SessionKind;
}

/** How a replay stands; null for a run that is live. Times are seconds of board time from the run's start. */
export interface PlaybackView {
  playing: boolean;
  /** Times real time. */
  speed: number;
  atS: number;
  durationS: number;
  /** Where the nulls of the whole recording lie, for the scrubber. */
  nulls: { id: string; atS: number; cell: number | null }[];
}

/** Something wrong with the recording itself, said at once: the run goes on but is not being kept. */
export interface RecordingState {
  /** Name of the file; null where nothing is recorded. */
  file: string | null;
  trouble: Message | null;
}

/** Everything of a session that is sent part by part, whenever a part has changed. */
export interface SessionView extends Omit<RunView, 'now'> {
  next: NextStep;
  playback: PlaybackView | null;
  recording: RecordingState;
  /** The hand at a simulated bench that is worked from the page; null for every other run. */
  hand: HandState | null;
}

/**
 * Readings for the plots, in columns, oldest first, thinned to what a screen can show.
 * `along` is the length along the wire in cm, or the scale reading where the row is unknown.
 */
export interface Points {
  tS: number[];
  along: (number | null)[];
  currentUa: (number | null)[];
  /** Bits: 1 the jockey touches, 2 saturated, 4 protective resistance in, 8 row unknown; from 16 the cell (0 to 3). */
  state: number[];
}

/** The nulls that are new or have changed, by their place in the list, and how many there are now. */
export interface NullsPart {
  count: number;
  changed: [place: number, found: NullView][];
}

export interface PageToBridge {
  open: { type: 'open'; session: string };
  ack: { type: 'ack'; frame: number };
  event: { type: 'event'; request: number; event: RunEvent };
  hand: { type: 'hand'; order: HandOrder };
  play: { type: 'play'; playing?: boolean; speed?: number; seekS?: number; step?: 'next' | 'back' };
}
export type FromPage = PageToBridge[keyof PageToBridge];

export interface BridgeToPage {
  welcome: { type: 'welcome'; protocol: 1; role: Role; sessions: SessionSummary[] };
  sessions: { type: 'sessions'; sessions: SessionSummary[] };
  frame: {
    type: 'frame';
    session: string;
    frame: number;
    /** What was drawn before belongs to the past (opened, or a replay that jumped back): begin anew. */
    anew?: true;
    now?: NowView | null;
    points?: Points;
    parts?: Partial<Omit<SessionView, 'nulls'>> & { nulls?: NullsPart };
  };
  answer: { type: 'answer'; request: number } & ({ ok: true } | Refused);
  gone: { type: 'gone'; session: string };
  /** Every five seconds: a page that hears nothing for long has lost the bridge, whatever its socket says. */
  beat: { type: 'beat' };
  error: { type: 'error'; code: ProtocolErrorCode } & Message;
}
export type FromBridge = BridgeToPage[keyof BridgeToPage];

export type ProtocolErrorCode =
  | 'not-understood'
  | 'may-not-steer'
  | 'no-such-session'
  | 'no-replay'
  | 'no-hand';

/**
 * The desk: what a page asks of the bridge beside the runs, as JSON over HTTP under `/api/`. Every answer is
 * `{ ok: true, ... }` or a `Refused`. Only a page that may steer is answered.
 */
export interface BenchSetupAnswers {
  /** GET /api/ports */
  ports: { ports: { path: string; about: string }[] };
  /** GET /api/counts?from=RUN: newest counts of a run, or of a port opened for set-up (`from=set-up`). */
  counts: { counts: BoardCounts; link: Message };
  /** POST /api/listen { port, baud }: opens a port for set-up alone, nothing is recorded. Answers from where its counts come. */
  listen: { from: string };
  /** POST /api/hold { from }: the means of the next samples. */
  hold: { held: HeldReading };
  /** POST /api/fit { points } */
  fit: { fit: CalibrationFit | null };
  /** POST /api/scale: from a known current { zeroCounts, counts, knownUa }, or the front end { spanV, counts, gain, shuntOhm }. */
  scale: { microampsPerCount: number | null };
  /** GET /api/benches */
  benches: { benches: BenchEntry[] };
  /** GET /api/bench?file=NAME */
  bench: { bench: Record<string, unknown>; history: string[] };
  /** POST /api/bench { file, bench, run }: saves, and puts it in force in a live run where one is named. */
  save: { saved: string };
  /** POST /api/plan { bench, rheostatOhm, driverResistanceOhm, sets, uReadCm } */
  plan: { plan: Plan };
  /** POST /api/start { port, baud, file, by, temperatureC, procedure } */
  start: { session: string };
  /** POST /api/resume { port, baud, file }: goes on in a recording. */
  resume: { session: string };
  /** GET /api/recordings */
  recordings: { recordings: RecordingEntry[] };
  /** POST /api/replay { file } */
  replay: { session: string };
  /** POST /api/drop?name=NAME with the file itself */
  drop: { file: string };
  /** GET /api/whole?file=NAME: the view at the end of a recording. */
  whole: { view: RunView };
  /** GET /api/export?session=RUN&as=KIND: the record of a run as it stands now; of a replay that of its whole recording. */
  export: { text: string; type: string; name: string };
  /** POST /api/close { session }: ends a replay, a run that was begun from a page, or listening (`set-up`). */
  close: Record<never, never>;
}

export type ExportKind = 'page' | 'json' | 'sets' | 'nulls';

export interface BoardCounts {
  board: { name: string; firmware: string; rateHz: number } | null;
  channels: string[];
  pos: number | null;
  gal: number | null;
  drv: number | null;
  contact: boolean | null;
  cell: number | null;
  row: number | null;
  saturated: boolean;
}

export interface BenchEntry {
  file: string;
  savedMs: number;
  /** How many earlier states are kept. */
  versions: number;
}

export interface RecordingEntry {
  file: string;
  bytes: number;
  writtenMs: number;
}
