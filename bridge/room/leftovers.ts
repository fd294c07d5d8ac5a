import { closeSync, existsSync, openSync, readdirSync, readSync } from 'node:fs';
import { join } from 'node:path';
import { parseRecord } from '../recording/record.ts';
import { readEvent } from '../run/events.ts';

/** A recording says early which room it was made for: after its bench, which may fill this much. */
const HEAD_BYTES = 300_000;

/** The recordings of a folder that a station made for a room. Whether the room has all of them, it says itself. */
export function recordingsFor(room: string, station: string, folder: string): string[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((file) => file.endsWith('.rec'))
    .map((file) => join(folder, file))
    .filter((path) => isFor(room, station, headOf(path)));
}

function headOf(path: string): string {
  const file = openSync(path, 'r');
  try {
    const buffer = Buffer.alloc(HEAD_BYTES);
    return buffer.toString('utf8', 0, readSync(file, buffer, 0, HEAD_BYTES, 0));
  } finally {
    closeSync(file);
  }
}

const isFor = (room: string, station: string, head: string): boolean =>
  head.split('\n').some((line) => {
    if (!line.includes('"room"')) return false;
    const record = parseRecord(line);
    const event =
      record !== null && record !== 'unreadable' && record.mark === '!' ? readEvent(record.payload) : null;
    return event?.kind === 'room' && event.room === room && event.station === station;
  });
