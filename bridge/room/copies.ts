import { mkdirSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Kept } from './messages.ts';
import { type OpenToAppend, openToAppend, RunCopy, type RunCopyOwner } from './run-copy.ts';
import { isRoomName, isRunName, type RunPlace, runKey } from './topics.ts';

/** The room's folder: `STATION--RUN.rec`, and `STATION--RUN--2.rec` where what a station sent later differs from the first. */

const FILE = /^([a-z0-9-]+?)--([A-Za-z0-9._-]+?)(?:--([2-9]))?\.rec$/;

const fileOf = ({ station, run }: RunPlace, copy: number): string =>
  `${station}--${run}${copy === 1 ? '' : `--${copy}`}.rec`;

/** Whose copy a file of the folder is; null for any other file. */
export function placeOf(file: string): (RunPlace & { copy: number }) | null {
  const [, station, run, copy = '1'] = FILE.exec(file) ?? [];
  if (station === undefined || !isRoomName(station) || !isRunName(run)) return null;
  return { station, run, copy: Number(copy) };
}

export class Copies {
  readonly folder: string;
  readonly #open: OpenToAppend;

  /** Throws where the folder can't be made. */
  constructor(folder: string, open: OpenToAppend = openToAppend) {
    this.folder = folder;
    this.#open = open;
    mkdirSync(folder, { recursive: true });
  }

  /** All that are here, the newest copy of each run. */
  list(): (RunPlace & { copy: number })[] {
    const newest = new Map<string, RunPlace & { copy: number }>();
    for (const file of readdirSync(this.folder)) {
      const place = placeOf(file);
      const key = place && runKey(place);
      if (place !== null && key !== null && place.copy > (newest.get(key)?.copy ?? 0)) newest.set(key, place);
    }
    return [...newest.values()];
  }

  path(place: RunPlace, copy: number): string {
    return join(this.folder, fileOf(place, copy));
  }

  open(place: RunPlace, copy: Kept['copy'], owner: RunCopyOwner): Promise<RunCopy> {
    return RunCopy.open(this.path(place, copy), copy, owner, this.#open);
  }
}
