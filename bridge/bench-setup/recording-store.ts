import { createWriteStream, existsSync, mkdirSync, openSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import { Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { openRecording } from '../recording/read.ts';
import { stateOf } from './state-of.ts';

/** A folder of recordings: what is in it, and what is dropped into it. Nothing in it is ever overwritten. */

const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,120}\.rec$/;
/** Twelve hours at 200 samples a second are some 500 MB. */
const MOST_BYTES = 2_000_000_000;

export interface RecordingEntry {
  file: string;
  bytes: number;
  writtenMs: number;
}

export type Kept = { ok: true; file: string } | Refused;

export const isRecordingName = (file: string): boolean => NAME.test(file);

export function listRecordings(folder: string): RecordingEntry[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter(isRecordingName)
    .flatMap((file) => {
      const found = stateOf(join(folder, file));
      return found === null ? [] : [{ file, bytes: found.size, writtenMs: found.mtimeMs }];
    })
    .sort((a, b) => b.writtenMs - a.writtenMs);
}

/** Takes in a file that was dropped on the page, under its own name or, where that is taken, one beside it. */
export async function keepDropped(folder: string, name: string, bytes: Readable): Promise<Kept> {
  const refused = (error: unknown): Refused => ({
    ok: false,
    ...message('drop-failed', { name, message: (error as Error).message }),
  });
  let place: Place;
  try {
    mkdirSync(folder, { recursive: true });
    place = takeName(folder, soundName(name));
  } catch (error) {
    return refused(error);
  }
  const { file, fd } = place;
  const path = join(folder, file);
  try {
    // The upload itself stays open where this fails: whoever sent it could else not be told why.
    const kept = bytes.iterator({ destroyOnReturn: false });
    await pipeline(kept, bounded(MOST_BYTES), createWriteStream(path, { fd }));
  } catch (error) {
    rmSync(path, { force: true });
    return refused(error);
  }
  const opened = openRecording(path, name);
  if (opened.ok) {
    opened.reader.close();
    return { ok: true, file };
  }
  rmSync(path, { force: true });
  return { ok: false, ...opened.fault };
}

/** Letters, digits, points and dashes of a name that came from elsewhere. */
export function soundName(name: string): string {
  const stem = name
    .replace(/\.rec$/i, '')
    .replace(/[^A-Za-z0-9._-]+/g, '-')
    .replace(/^[^A-Za-z0-9]+/, '')
    .slice(0, 100);
  return `${stem === '' ? 'dropped' : stem}.rec`;
}

interface Place {
  file: string;
  fd: number;
}

/** Creates the file in the same step that finds its name free: of two uploads of one name, each has its own. */
function takeName(folder: string, file: string): Place {
  const stem = file.replace(/\.rec$/, '');
  let candidate = file;
  for (let count = 2; ; count += 1) {
    try {
      return { file: candidate, fd: openSync(join(folder, candidate), 'wx') };
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
    candidate = `${stem}-${count}.rec`;
  }
}

function bounded(most: number): Transform {
  let bytes = 0;
  return new Transform({
    transform(chunk: Uint8Array, _encoding, done) {
      bytes += chunk.length;
      if (bytes > most) done(new Error('it is too large'));
      else done(null, chunk);
    },
  });
}
