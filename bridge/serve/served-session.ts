import type { Refused } from '../calc-core/message.ts';
import type { RunEvent } from '../run/events.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import type { HandOrder, HandState } from '../simulate/hand-commands.ts';
import type { FromPage, PlaybackView, RecordingState, SessionSummary } from './page-protocol.ts';

/** Newest readings that are kept of a run for the plots, also over a fold afresh: five minutes at 200 a second. */
export const KEPT_READINGS = 60_000;

export type Answer = { ok: true } | Refused;

export interface ServedHand {
  order(order: HandOrder): void;
  readonly state: HandState;
}

export type PlaybackCommand = Omit<Extract<FromPage, { type: 'play' }>, 'type'>;

/** What the server asks of a run; a live session and a replay both fit. Listeners are called in the run's order. */
export interface ServedSession {
  readonly summary: SessionSummary;
  view(): RunView;
  /** Anything but the newest reading may have changed. Returns the way to stop listening. */
  onChange(listener: () => void): () => void;
  onReading(listener: (reading: LiveReading) => void): () => void;
  /** The run began anew, as when a replay jumps: readings sent so far are void. */
  onAnew(listener: () => void): () => void;
  recordEvent(event: RunEvent): Answer;
  recording(): RecordingState;
  /** Where its recording lies, for reports of it; absent where there is none. */
  recordingPath?(): string;
  playback(): PlaybackView | null;
  play(command: PlaybackCommand): Answer;
  /** The hand of a simulated bench that is worked from the page; absent or null for every other run. */
  hand?(): ServedHand | null;
}
