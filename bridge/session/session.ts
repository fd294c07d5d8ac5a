import type { Message, Refused } from '../calc-core/message.ts';
import type { RunEvent } from '../run/events.ts';
import type { LiveReading, RunView } from '../run/view.ts';
import type { HandOrder, HandState } from '../simulate/hand-commands.ts';

export type { HandOrder, HandState } from '../simulate/hand-commands.ts';

/** Newest readings that are kept of a run for the plots, also where it goes on in a new file: five minutes at 200 a second. */
export const KEPT_READINGS = 60_000;

export type Answer = { ok: true } | Refused;

export interface BenchHand {
  order(order: HandOrder): void;
  readonly state: HandState;
}

/** `copied`: a run at another computer, which sends its recording. */
export type SessionKind = 'live' | 'simulated' | 'replay' | 'copied';

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

export interface PlaybackCommand {
  playing?: boolean;
  speed?: number;
  seekS?: number;
  step?: 'next' | 'back';
}

/** Something wrong with the recording itself, said at once: the run goes on but is not being kept. */
export interface RecordingState {
  /** Name of the file; null where nothing is recorded. */
  file: string | null;
  trouble: Message | null;
}

/** How a run stands with the room of benches that it belongs to. */
export interface RoomLinkView {
  room: string;
  /** The room is there and takes in what comes. */
  up: boolean;
  /** Why it is not, in the broker's words. */
  trouble: string | null;
  /** Bytes of the recording that the room lacks; null before it said what it has. */
  behindBytes: number | null;
  /** Above 1 where the room had other bytes under this name, and keeps both. */
  copy: number;
  /** The teacher's last line of text. */
  said: string | null;
  /** This bench calls for the teacher. */
  calls: boolean;
}

/** A run's place in a room. */
export interface RoomMember {
  view(): RoomLinkView;
  call(on: boolean): void;
  onChange(listener: () => void): () => void;
}

/** One run as a server shows it: live, simulated or a replay. Listeners are called in the run's order. */
export interface Session {
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
  /** Of a simulated bench, times real time; absent or null for every other run. */
  speed?(): number | null;
  play(command: PlaybackCommand): Answer;
  /** The hand of a simulated bench that is worked from the page; absent or null for every other run. */
  hand?(): BenchHand | null;
  /** Its place in a room of benches; absent or null for one that belongs to none. */
  room?(): RoomMember | null;
}
