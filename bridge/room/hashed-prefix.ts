import { Buffer } from 'node:buffer';
import { createHash, type Hash } from 'node:crypto';
import type { FileHandle } from 'node:fs/promises';

/** The first bytes of a recording, hashed (SHA-256, FIPS 180-4). It never changes: more bytes make another one. */
export interface HashedPrefix {
  readonly bytes: number;
  readonly hash: Hash;
}

const PART_BYTES = 1 << 20;

export const noBytes = (): HashedPrefix => ({ bytes: 0, hash: createHash('sha256') });

export const withMore = ({ bytes, hash }: HashedPrefix, more: Buffer): HashedPrefix => ({
  bytes: bytes + more.length,
  hash: hash.copy().update(more),
});

/** In lower-case hexadecimal. */
export const hexOf = ({ hash }: HashedPrefix): string => hash.copy().digest('hex');

/** The first `most` bytes of a file, or as many as it has. */
export async function hashedPrefix(file: FileHandle, most = Number.POSITIVE_INFINITY): Promise<HashedPrefix> {
  const hash = createHash('sha256');
  const buffer = Buffer.allocUnsafe(PART_BYTES);
  let bytes = 0;
  for (let got = -1; got !== 0 && bytes < most; bytes += got) {
    got = (await file.read(buffer, 0, Math.min(PART_BYTES, most - bytes), bytes)).bytesRead;
    hash.update(buffer.subarray(0, got));
  }
  return { bytes, hash };
}
