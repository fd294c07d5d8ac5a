import { Buffer } from 'node:buffer';
import {
  closeSync,
  fdatasync,
  fstatSync,
  ftruncateSync,
  openSync,
  readSync,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';

/** What the writer asks of the operating system; tests put a failing one in its place. */
export interface WriteLayer {
  /** Appends bytes; answers how many were taken, or throws. */
  write(file: number, bytes: Buffer): number;
  read(file: number, buffer: Buffer, position: number): number;
  sync(file: number, done: (error: NodeJS.ErrnoException | null) => void): void;
  close(file: number): void;
  /** Bytes that stand in the open file. */
  size(file: number): number;
  /** Cuts the open file to nothing. */
  empty(file: number): void;
  /** Does the open file still stand at the path, has it been moved elsewhere, or removed altogether? Throws where the path can't be looked at. */
  whereIs(file: number, path: string): 'there' | 'moved' | 'removed';
  /** Writes a removed file anew at its path, if its folder is there; answers the new open file, or null. */
  restore(file: number, path: string): number | null;
}

export const fileLayer: WriteLayer = {
  write: (file, bytes) => writeSync(file, bytes),
  read: (file, buffer, position) => readSync(file, buffer, 0, buffer.length, position),
  sync: fdatasync,
  close: closeSync,
  size: (file) => fstatSync(file).size,
  empty: (file) => ftruncateSync(file, 0),
  whereIs: (file, path) => {
    const there = statSync(path, { throwIfNoEntry: false, bigint: true });
    const open = fstatSync(file, { bigint: true });
    if (there !== undefined && there.ino === open.ino && there.dev === open.dev) return 'there';
    return open.nlink > 0n ? 'moved' : 'removed';
  },
  restore,
};

function restore(file: number, path: string): number | null {
  let copy: number;
  try {
    copy = openSync(path, 'ax+');
  } catch {
    return null;
  }
  try {
    copyBytes(file, copy);
    return copy;
  } catch {
    closeSync(copy);
    unlinkSync(path);
    return null;
  }
}

function copyBytes(from: number, to: number): void {
  const buffer = Buffer.allocUnsafe(1 << 20);
  let at = 0;
  for (let got = -1; got !== 0; ) {
    got = readSync(from, buffer, 0, buffer.length, at);
    at += writeSync(to, buffer, 0, got);
  }
}
