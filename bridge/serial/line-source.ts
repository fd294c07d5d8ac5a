import type { Message } from '../calc-core/message.ts';
import type { RecordLine } from '../recording/record.ts';

/**
 * Where the lines of a run come from: a serial port, a simulated or emulated board, or a recording.
 * One contract suite (tests/serial/contract.ts) holds for all of them.
 */

/** What is known of the link, in one sentence: what is going on, and what to do where something is amiss. */
export interface LinkStatus extends Message {
  /** Null before the first line. */
  up: boolean | null;
  /** The port or file in use now; null while there is none. */
  port: string | null;
}

/** Message so that a technician can act on it. */
export interface SourceFault extends Message {
  code: 'port-not-found' | 'port-busy' | 'port-forbidden' | 'port-failed' | 'not-a-port' | 'source-failed';
}

/** Called between `start` and the end of `close`, never before or after. */
export interface SourceListener {
  /** Lines from the board as they came: terminator removed, one character a byte. Never an empty list. */
  lines(lines: string[]): void;
  /** A line that was handed to the board, terminator removed. */
  sent(line: string): void;
  /** Records of a source that carries its own time. Never an empty list. */
  records(records: (RecordLine | 'unreadable')[]): void;
  /** The link came up or went down (`up` alternates), or only its words changed (`up` as before). */
  link(status: LinkStatus): void;
  /** Nothing more will come. */
  ended(): void;
}

export interface LineSource {
  readonly kind: 'serial' | 'simulated' | 'emulated' | 'replay';
  /** Begins to deliver. Resolves to null, or to what stood in the way; may be called once. */
  start(listener: SourceListener): Promise<SourceFault | null>;
  /** Sends a payload to the board, sealed with its CRC. False where there is no link or no board. */
  send(payload: string): boolean;
  /** Stops and lets go of everything. May be called twice. */
  close(): Promise<void>;
}

/** What a source with its own time adds: it can be paused and go at any speed. */
export interface Pace {
  /** Times real time; Infinity for as fast as it goes. */
  readonly speed: number;
  readonly paused: boolean;
  /** Milliseconds of the source's own time, reached so far. */
  readonly atMs: number;
  setSpeed(speed: number): void;
  pause(): void;
  resume(): void;
}
