import type { BenchSetup } from '../bench-setup/bench-setup.ts';
import type { SourceCounts } from '../bench-setup/counts-watches.ts';
import type { RouteName } from '../bench-setup/routes.ts';
import type { Message, Refused } from '../calc-core/message.ts';
import type { ComparisonOutcome, InternalResistanceOutcome, Outcome } from '../calc-core/outcome.ts';
import type { ClassBoard } from '../room/class-board.ts';
import type { NextStep } from '../run/next-step.ts';
import type { NowView, RunView, RunWork } from '../run/view.ts';
import type {
  HandState,
  PlaybackView,
  RecordingState,
  RoomLinkView,
  SessionSummary,
} from '../session/session.ts';
import type { Change } from '../session/view-patch.ts';
import type { CrossingView } from './crossing-watch.ts';
import type { RoomShows } from './page-request.ts';

/**
 * What goes over the WebSocket between the bridge and a page: JSON texts, version 1. Types only.
 *
 * The bridge greets with `welcome`; the page opens a session; the bridge sends frames of it at display rate.
 * Every frame is acknowledged. While two are under way nothing more is sent: what comes meanwhile is put
 * together into the next one, so a slow page gets fewer frames and never old ones.
 */

export type { Bench } from '../bench/bench-file.ts';
export type { CalibrationFit, CalibrationPoint, HeldReading } from '../bench/calibrate.ts';
export type { ClassKind, ExportKind, RecordingSummary, WholeView } from '../bench-setup/background-jobs.ts';
export type { BenchEntry } from '../bench-setup/bench-store.ts';
export type { BoardCounts } from '../bench-setup/counts-watch.ts';
export type { SourceCounts } from '../bench-setup/counts-watches.ts';
export type { RecordingEntry } from '../bench-setup/recording-store.ts';
export type { Asked, RouteName } from '../bench-setup/routes.ts';
export type { Message, Refused } from '../calc-core/message.ts';
export type { BudgetRow, Outcome } from '../calc-core/outcome.ts';
export type { Plan } from '../calc-core/plan.ts';
export type { BoardGroup, BoardRow, ClassBoard, Needs } from '../room/class-board.ts';
export type { RunEvent } from '../run/events.ts';
export type { NextStep } from '../run/next-step.ts';
export type {
  ComparisonSetView,
  ComparisonWork,
  EventView,
  Finding,
  FindingCode,
  NowView,
  NullView,
  RunWork,
  WorkingView,
} from '../run/view.ts';
export type { HandOrder, HandState, PlaybackView, RoomLinkView, SessionSummary } from '../session/session.ts';
export type { CrossingView } from './crossing-watch.ts';
export type { FromPage, RoomShows } from './page-request.ts';

/** A page that steers may send operator events; one that watches may not; a teacher’s sees results that are hidden, and may hide them. */
export type Role = 'teach' | 'steer' | 'watch';

/** The link that watches, as a QR code, too. */
export interface WatchLink {
  url: string;
  /** Modules along a side, with the light margin that readers ask for (ISO/IEC 18004). */
  size: number;
  /** Outlines of the dark modules as SVG path data, a unit a module. */
  dark: string;
}

/** What grows with the run and is looked at on one tab only: a page asks for it there. */
type CalculationField = 'formula' | 'mathMl' | 'constants' | 'budget';

/** What an outcome tells set by set, and its faults: a page has them as sets and as findings. */
type ToldElsewhere = 'sets' | 'line' | 'polarisation' | 'faults';

/** The same with each result's calculation left out, and what is told elsewhere. */
export type WithoutCalculation<Part> = Part extends Outcome
  ? Omit<Part, CalculationField>
  : Part extends ComparisonOutcome | InternalResistanceOutcome
    ? { [Name in Exclude<keyof Part, ToldElsewhere>]: WithoutCalculation<Part[Name]> }
    : Part extends object
      ? { [Name in keyof Part]: WithoutCalculation<Part[Name]> }
      : Part;

/** Everything of a session that a page is sent: whole when it opens it, and from then on what changes. */
export interface SessionView extends Omit<RunView, 'now' | 'work'> {
  work: WithoutCalculation<RunWork>;
  next: NextStep;
  playback: PlaybackView | null;
  /** Of a simulated bench, times real time; null for every other run. */
  speed: number | null;
  recording: RecordingState;
  /** The hand at a simulated bench that is worked from the page; null for every other run. */
  hand: HandState | null;
  /** Its place in a room of benches; null for a run that belongs to none. */
  inRoom: RoomLinkView | null;
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

export interface BridgeToPage {
  welcome: {
    type: 'welcome';
    protocol: 1;
    role: Role;
    sessions: SessionSummary[];
    /** The link to the view for the room that lets another machine watch; null while none is let in. */
    watchLink: WatchLink | null;
    /** The room of benches whose board this bridge shows; null where it serves a bench. */
    room: string | null;
  };
  sessions: { type: 'sessions'; sessions: SessionSummary[] };
  frame: {
    type: 'frame';
    /** Null while none is open. */
    session: string | null;
    frame: number;
    /** What was drawn before belongs to the past (opened, or a replay that jumped back): begin anew. */
    anew?: true;
    now?: NowView | null;
    points?: Points;
    /** The newest crossing of the null, once: in the first frame after its reading. */
    crossing?: CrossingView;
    /** What the view for the room shows, whenever that is another. */
    room?: RoomShows;
    /** Of the source that the page asked counts of, a few times a second. */
    counts?: SourceCounts;
    /** The class board, whenever it has changed, to a page that follows it. */
    board?: ClassBoard;
    /** The whole view: the first frame of a session brings it, and one after a long silence. */
    view?: SessionView;
    /** What has changed of it since the last frame. */
    changes?: Change[];
  };
  /** How the result was worked out, as asked for; null where there is none. */
  calculation: { type: 'calculation'; session: string; outcome: Outcome | null };
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

/** What a route grants; else its answer is a `Refused`. */
export type Granted<Name extends RouteName | 'drop'> = Extract<
  Awaited<ReturnType<BenchSetup[Name]>>,
  { ok: true }
>;
