import type { BadLine, Frame, SampleFrame } from '../../firmware-protocol/frames.ts';

/** What was heard of a board and asked of it, with host times in milliseconds: all that the checks see. */
export interface BoardLog {
  heard: Heard[];
  asked: Asked[];
  /** Host time at which listening ended. */
  endMs: number;
}

export interface Heard {
  atMs: number;
  line: string;
  frame: Frame | BadLine;
}

/** A question of the script in script.ts, as it was sent. */
export interface Asked {
  atMs: number;
  question: Question;
}

export interface Question {
  /** The bytes sent, their line feed left out. */
  line: string;
  /** For the report: what was tried. */
  what: string;
  /** What a board that keeps to the format does about it. */
  expects: 'hello' | 'accepted' | 'refused' | 'hello-after-noise';
}

/**
 * `fault`: the board breaks the format. `warn`: it keeps it, and readings will suffer. `note`: worth knowing.
 */
export interface CheckFinding {
  severity: 'fault' | 'warn' | 'note';
  code: string;
  /** A sentence that whoever writes or builds boards can act on. */
  text: string;
}

export const fault = (code: string, text: string): CheckFinding => ({ severity: 'fault', code, text });
export const warn = (code: string, text: string): CheckFinding => ({ severity: 'warn', code, text });
export const note = (code: string, text: string): CheckFinding => ({ severity: 'note', code, text });

/** A sample and when it arrived. */
export interface HeardSample {
  atMs: number;
  frame: SampleFrame;
}

export const samplesOf = (log: BoardLog): HeardSample[] =>
  log.heard.flatMap(({ atMs, frame }) => (frame.type === 'S' ? [{ atMs, frame }] : []));
