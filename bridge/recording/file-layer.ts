import { Buffer } from 'node:buffer';
import {
  closeSync,
  fdatasync,
  fstatSync,
  openSync,
  readSync,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';

/** What opening and writing a recording asks of the operating system; tests put a failing one in its place. */
export interface FileLayer {
  /** Creates a file to append to and read; throws where there is one already. */
  create(path: string): number;
  /** Opens a file to append to and read. */
  openToAppend(path: string): number;
  /** Appends bytes; answers how many were taken, or throws. */
  write(file: number, bytes: Buffer): number;
  read(file: number, buffer: Buffer, position: number): number;
  sync(file: number, done: (error: NodeJS.ErrnoException | null) => void): void;
  close(file: number): void;
  remove(path: string): void;
  /** Bytes that stand in the open file. */
  size(file: number): number;
  /** Does the open file still stand at the path, has it been moved elsewhere, or removed altogether? Throws where the path can't be looked at. */
  whereIs(file: number, path: string): 'there' | 'moved' | 'removed';
}

export const fileLayer: FileLayer = {
  create: (path) => openSync(path, 'ax+'),
  openToAppend: (path) => openSync(path, 'a+'),
  write: (file, bytes) => writeSync(file, bytes),
  read: (file, buffer, position) => readSync(file, buffer, 0, buffer.length, position),
  sync: fdatasync,
  close: closeSync,
  remove: unlinkSync,
  size: (file) => fstatSync(file).size,
  whereIs: (file, path) => {
    const there = statSync(path, { throwIfNoEntry: false, bigint: true });
    const open = fstatSync(file, { bigint: true });
    if (there !== undefined && there.ino === open.ino && there.dev === open.dev) return 'there';
    return open.nlink > 0n ? 'moved' : 'removed';
  },
};

/** Writes all of it, or throws. */
export function writeAll(layer: FileLayer, file: number, bytes: Buffer): void {
  for (let at = 0; at < bytes.length; ) at += layer.write(file, bytes.subarray(at));
}

/** Copies an open file, whose name may be gone, to a new one. Answers the new one, or null where it can't be made. */
export function copyToNew(layer: FileLayer, file: number, path: string): number | null {
  let copy: number;
  try {
    copy = layer.create(path);
  } catch {
    return null;
  }
  try {
    copyBytes(layer, file, copy);
    return copy;
  } catch {
    layer.close(copy);
    layer.remove(path);
    return null;
  }
}

function copyBytes(layer: FileLayer, from: number, to: number): void {
  const buffer = Buffer.allocUnsafe(1 << 20);
  let at = 0;
  for (let got = -1; got !== 0; at += got) {
    got = layer.read(from, buffer, at);
    writeAll(layer, to, buffer.subarray(0, got));
  }
}
