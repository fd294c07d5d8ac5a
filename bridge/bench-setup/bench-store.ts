import {
  closeSync,
  existsSync,
  fstatSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describeFaults, parseBenchFile, readBench } from '../bench/bench-file.ts';
import type { Refused } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import { fitsRecording } from '../run/event-size.ts';
import { stateOf } from './state-of.ts';

/**
 * A folder of bench files. Saving writes a new file beside the old one, brings it to the disk, and puts it in the
 * old one's place in one step: whoever reads meanwhile gets the old bench or the new one, whole. What stood there
 * before is kept in `history/`.
 */

const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,80}\.json$/;

export interface BenchEntry {
  file: string;
  savedMs: number;
  /** How many earlier states are kept. */
  versions: number;
}

export type Loaded = { ok: true; bench: Record<string, unknown> } | Refused;
/** `kept`: another state stood there before, and lies in `history/` now. */
export type Saved = { ok: true; kept: boolean } | Refused;

const isName = (file: string): boolean => NAME.test(file);

export function listBenches(folder: string): BenchEntry[] {
  if (!existsSync(folder)) return [];
  const versions = versionsKept(folder);
  return readdirSync(folder)
    .filter(isName)
    .sort()
    .flatMap((file) => {
      const found = stateOf(join(folder, file));
      return found === null
        ? []
        : [{ file, savedMs: found.mtimeMs, versions: versions.get(file)?.length ?? 0 }];
    });
}

/** The names of what stood in a file's place before, oldest first. */
export const historyOf = (folder: string, file: string): string[] => versionsKept(folder).get(file) ?? [];

/** Of each file the names of its history, oldest first; the folder is read once. */
function versionsKept(folder: string): Map<string, string[]> {
  const kept = join(folder, 'history');
  const versions = new Map<string, string[]>();
  for (const name of existsSync(kept) ? readdirSync(kept).sort() : []) {
    const stem = /^(.*)\.v\d{4}\.json$/.exec(name)?.[1];
    if (stem === undefined) continue;
    const file = `${stem}.json`;
    versions.set(file, [...(versions.get(file) ?? []), name]);
  }
  return versions;
}

export function loadBench(folder: string, file: string): Loaded {
  if (!isName(file)) return { ok: false, ...message('bench-bad-name', { file }) };
  try {
    const raw = parseBenchFile(readFileSync(join(folder, file)));
    const reading = readBench(raw);
    if (reading.ok) return { ok: true, bench: raw as Record<string, unknown> };
    return { ok: false, ...message('bench-faulty', { file, faults: describeFaults(reading.faults) }) };
  } catch (error) {
    return { ok: false, ...message('bench-unread', { file, message: (error as Error).message }) };
  }
}

/** Saves a bench that has been checked; `raw` is what is written, unknown fields and all. */
export function saveBench(folder: string, file: string, raw: unknown): Saved {
  if (!isName(file)) return { ok: false, ...message('bench-name-rule') };
  const reading = readBench(raw);
  if (!reading.ok) return { ok: false, ...describeFaults(reading.faults) };
  // What no run could begin with is not kept.
  if (!fitsRecording({ kind: 'bench', bench: raw })) return { ok: false, ...message('bench-too-big') };
  try {
    mkdirSync(join(folder, 'history'), { recursive: true });
    const text = `${JSON.stringify(raw, null, 2)}\n`;
    const place = join(folder, file);
    if (existsSync(place) && readFileSync(place, 'utf8') === text) return { ok: true, kept: false };
    const kept = existsSync(place);
    if (kept) keepOld(folder, file);
    writeWhole(place, text);
    return { ok: true, kept };
  } catch (error) {
    return { ok: false, ...message('bench-unsaved', { file, message: (error as Error).message }) };
  }
}

function keepOld(folder: string, file: string): void {
  const number = String(lastNumber(folder, file) + 1).padStart(4, '0');
  writeWhole(
    join(folder, 'history', `${file.replace(/\.json$/, '')}.v${number}.json`),
    readFileSync(join(folder, file), 'utf8'),
  );
}

/** The highest number kept so far, not how many there are: somebody may have taken an old one away. */
const lastNumber = (folder: string, file: string): number =>
  Number(/\.v(\d{4})\.json$/.exec(historyOf(folder, file).at(-1) ?? '')?.[1] ?? 0);

/** All of it or nothing: a new file, brought to the disk, then renamed over the old one. */
function writeWhole(place: string, text: string): void {
  const draft = `${place}.${process.pid}.draft`;
  try {
    const file = openSync(draft, 'w');
    try {
      // Goes on where one write took only a part: a disk that fills up takes what it can, then refuses.
      writeFileSync(file, text);
      fsyncSync(file);
      if (fstatSync(file).size !== Buffer.byteLength(text))
        throw new Error('the disk took only a part of it');
    } finally {
      closeSync(file);
    }
    renameSync(draft, place);
  } catch (error) {
    rmSync(draft, { force: true });
    throw error;
  }
}
