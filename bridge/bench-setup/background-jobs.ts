import type { Message, Refused } from '../calc-core/message.ts';
import type { Outcome } from '../calc-core/outcome.ts';
import type { Language } from '../messages/language.ts';
import type { Procedure } from '../run/procedure.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import type { PlaybackCommand, PlaybackView } from '../session/session.ts';
import type { Change } from '../session/view-patch.ts';
import type { Asked } from './routes.ts';

/** What a worker is asked to do, and what it says. Plain data: it goes from thread to thread. */

export type ExportKind = 'page' | 'short' | 'sheet' | 'json' | 'sets' | 'nulls';

export interface ReplayJob {
  kind: 'replay';
  path: string;
  /** Times real time. */
  speed: number;
}

/** A job that ends by itself, with one answer. For a teacher's page with results that are hidden from others. */
export type OneAnswerJob =
  | { kind: 'whole'; path: string; isTeacher: boolean }
  | { kind: 'summary'; path: string }
  | { kind: 'export'; path: string; as: ExportKind; language: Language; isTeacher: boolean }
  | { kind: 'class'; paths: string[]; as: ClassKind; language: Language; isTeacher: boolean }
  | { kind: 'plan'; asked: Asked<'plan'> };

export type Job = OneAnswerJob | ReplayJob;

export type Done<Value> = { ok: true; value: Value } | Refused;

/** What a class found: the table with all records as one print, or as CSV or JSON. */
export type ClassKind = 'print' | 'csv' | 'json';

/** Of a recording as a whole, for the comparison of two. */
export interface WholeView
  extends Pick<RunView, 'about' | 'bench' | 'durationS' | 'work' | 'findings' | 'stream'> {
  /** What the result is of, such as `E1/E2, Leclanché over Daniell`; null without a result. */
  measurand: Message | null;
}

/** What a list of recordings says of one. */
export interface RecordingSummary {
  by: string;
  startedUtc: string;
  bench: string;
  procedure: Procedure;
  measurand: Message | null;
  result: Pick<Outcome, 'value' | 'U' | 'unit'> | null;
  resultsHidden: boolean;
  /** How many findings of each kind call for a look. */
  stops: number;
  warnings: number;
}

/** What a replay shows beside its readings. */
export interface ReplayState {
  view: RunView;
  playback: PlaybackView;
}

/** A replay has begun, or can't; what it shows first. */
export type ReplayBegun = { ok: true; state: ReplayState } | { ok: false; fault: Message };

/** From a replay, once the last news have been taken. */
export interface ReplayNews {
  /** Readings told before are void. */
  anew: boolean;
  readings: LiveReading[];
  changes: Change[];
  ended: boolean;
}

/** To a replay: a command, or that its last news have been taken. */
export type ToReplay = { play: PlaybackCommand } | 'taken';
