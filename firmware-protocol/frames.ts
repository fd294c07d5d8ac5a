/** What wire format 1 can message, as types. SPEC.md beside this file says it in words. */

/** Longest line in bytes, its CRC and both terminators included. */
export const MAX_LINE_BYTES = 120;

/** Bits of the `senses` field of `H`: what is really wired on this board. */
export const SENSES = { contact: 0x01, cellKey: 0x02, protect: 0x04, row: 0x08, load: 0x10 } as const;

/** Bits of the `flags` field of `S`. The cell takes two bits, read as a number from 0 to 3. */
export const FLAGS = { contact: 0x01, cellShift: 1, cellMask: 0x03, protect: 0x08, load: 0x10 } as const;

export type ChannelName = 'gal' | 'pos' | 'drv';

export interface HelloFrame {
  type: 'H';
  board: string;
  firmware: string;
  rateHz: number;
  /** OR of `SENSES`. */
  senses: number;
}

export interface ChannelFrame {
  type: 'C';
  index: number;
  /** One of `ChannelName`, or a name that a later format may bring. */
  channel: string;
  minCount: number;
  maxCount: number;
}

export interface SampleFrame {
  type: 'S';
  /** 0 to 65535, wraps. */
  seq: number;
  /** Microseconds since boot, 32 bits, wraps. */
  tUs: number;
  /** Raw counts; null where the board has no such channel. */
  gal: number | null;
  pos: number | null;
  drv: number | null;
  /** 0 unknown, else 1 to 20. */
  row: number;
  /** OR of `FLAGS`. */
  flags: number;
}

export interface BoardEventFrame {
  type: 'E';
  tUs: number;
  name: string;
  argument: string | null;
}

export interface AcceptedFrame {
  type: 'A';
  command: string;
}

export interface RefusedFrame {
  type: 'X';
  command: string;
  reason: string;
}

/** A sound line of a type that this version does not know; readers skip it. */
export interface OtherFrame {
  type: 'other';
  name: string;
}

export type Frame =
  | HelloFrame
  | ChannelFrame
  | SampleFrame
  | BoardEventFrame
  | AcceptedFrame
  | RefusedFrame
  | OtherFrame;

export type BadLineReason =
  /** more than `MAX_LINE_BYTES` */
  | 'too-long'
  /** no `*` with four upper-case hex digits at the end */
  | 'no-crc'
  | 'crc-mismatch'
  /** a byte of the payload outside 0x20 to 0x7E, or a `*` in it */
  | 'byte-out-of-range'
  /** `H` of a version other than 1 */
  | 'version-unknown'
  | 'field-missing'
  | 'field-value';

export interface BadLine {
  type: 'bad';
  reason: BadLineReason;
  /** Name of the field at fault, where one is. */
  field: string | null;
}
