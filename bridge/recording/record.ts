/**
 * The grammar of one record of a recording, format `tenwire-recording 1`: `<ms> <mark> <payload>`.
 * Pure text in, values out; files are read and written by the neighbours of this file.
 */

export const RECORDING_HEADER = '#tenwire-recording 1';

export type Mark = '<' | '>' | '!';

export interface RecordLine {
  /** Host milliseconds since the recording began. */
  ms: number;
  /** `<` from the board, `>` to the board, `!` an event. */
  mark: Mark;
  /** Board lines with their escapes undone (one character a byte); events as JSON text. */
  payload: string;
}

const escapeByte = (byte: string): string =>
  byte === '\\' ? '\\\\' : `\\x${byte.charCodeAt(0).toString(16).toUpperCase().padStart(2, '0')}`;

/** A board line (latin1, terminator removed) as it stands in the file. */
const escapeBytes = (line: string): string => line.replace(/[^\x20-\x5b\x5d-\x7e]/g, escapeByte);

const unescapeBytes = (text: string): string =>
  text.replace(/\\(?:\\|x([0-9A-Fa-f]{2}))/g, (_, hex: string | undefined) =>
    hex === undefined ? '\\' : String.fromCharCode(Number.parseInt(hex, 16)),
  );

/** Up to here (285 years) a double tells microseconds apart, so that `ms` is written as it was read. */
export const MOST_MS = Number.MAX_SAFE_INTEGER / 1000;

/** Milliseconds as a recording keeps them. What is folded live must be what will be read back. */
export const recordedMs = (ms: number): number => Math.round(ms * 1000) / 1000;

/** One record as text, without its line feed. */
export function formatRecord(record: RecordLine): string {
  return `${recordedMs(record.ms)} ${record.mark} ${record.mark === '!' ? record.payload : escapeBytes(record.payload)}`;
}

/**
 * Reads one line of a recording, its line feed removed.
 * Returns null for a comment or an empty line and 'unreadable' for one that breaks the grammar.
 */
export function parseRecord(line: string): RecordLine | null | 'unreadable' {
  if (line === '' || line.charCodeAt(0) === 0x23) return null;
  const blank = line.indexOf(' ');
  if (blank < 1 || line.charCodeAt(blank + 2) !== 0x20) return 'unreadable';
  const ms = decimal(line, blank);
  const mark = line[blank + 1];
  if (ms < 0 || (mark !== '<' && mark !== '>' && mark !== '!')) return 'unreadable';
  const payload = line.slice(blank + 3);
  return { ms, mark, payload: mark !== '!' && payload.includes('\\') ? unescapeBytes(payload) : payload };
}

/** Digits, with up to three decimals, up to `end`; -1 where it is anything else. */
function decimal(line: string, end: number): number {
  let point = end;
  for (let index = 0; index < end; index += 1) {
    const code = line.charCodeAt(index);
    if (code === 0x2e && point === end && index > 0) point = index;
    else if (code < 0x30 || code > 0x39) return -1;
  }
  const decimals = end - point - 1;
  const ms = decimals === 0 || decimals > 3 ? -1 : Number(line.slice(0, end));
  return ms <= MOST_MS ? ms : -1;
}
