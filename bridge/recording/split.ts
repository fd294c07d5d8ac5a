import { Buffer } from 'node:buffer';
import type { RecordLine } from './record.ts';
import { parseRecord } from './record.ts';

const CHUNK_BYTES = 1 << 18;
/** A line longer than this is no record (the longest honest one is a bench file on one line). */
const MAX_RECORD_CHARS = 1 << 20;

/** Fills `buffer` from a byte position of the recording on; answers how many bytes there were, 0 at the end. */
export type ReadAt = (buffer: Buffer, position: number) => number;

export interface ReadProgress {
  /** How far the reading has come. */
  bytes: number;
  /** What stands after the last line feed: a torn write, left out. */
  torn: boolean;
}

/**
 * Every record in order; a line that breaks the grammar is 'unreadable'. Reads a chunk at a time, so memory
 * stays bounded whatever the file holds, and goes on where more has been appended if asked again at the end.
 */
export function* splitRecords(
  readAt: ReadAt,
  progress: ReadProgress,
): Generator<RecordLine | 'unreadable', void> {
  const buffer = Buffer.allocUnsafe(CHUNK_BYTES);
  let rest = '';
  let overlong = false;
  for (let got = readAt(buffer, progress.bytes); got > 0; got = readAt(buffer, progress.bytes)) {
    progress.bytes += got;
    // latin1 keeps one character a byte; lines that are not plain ASCII are decoded as UTF-8 one by one.
    const text = rest + buffer.toString('latin1', 0, got);
    const ascii = !NOT_ASCII.test(text);
    let from = 0;
    for (let feed = text.indexOf('\n'); feed >= 0; feed = text.indexOf('\n', from)) {
      const record = overlong ? 'unreadable' : readLine(text, from, feed, ascii);
      overlong = false;
      from = feed + 1;
      if (record !== null) yield record;
    }
    rest = text.slice(from);
    if (rest.length > MAX_RECORD_CHARS) {
      overlong = true;
      rest = '';
    }
    progress.torn = overlong || rest !== '';
  }
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: any byte beyond ASCII is what is looked for
const NOT_ASCII = /[^\x00-\x7f]/;

function readLine(text: string, from: number, feed: number, ascii: boolean): ReturnType<typeof parseRecord> {
  // A carriage return here comes from a tool that converted line ends: one from a board is written \x0D.
  const end = feed > from && text.charCodeAt(feed - 1) === 0x0d ? feed - 1 : feed;
  const line = text.slice(from, end);
  if (ascii || !NOT_ASCII.test(line)) return parseRecord(line);
  return parseRecord(Buffer.from(line, 'latin1').toString('utf8'));
}
