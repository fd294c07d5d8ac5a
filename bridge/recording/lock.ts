import { closeSync, constants, fstatSync, openSync } from 'node:fs';
import { createServer } from 'node:net';
import { dirname, join } from 'node:path';

/**
 * A recording has one writer. The writer holds a lock that the kernel keeps: it goes with its process, however that ends,
 * so nothing is left behind for others to judge. It is the file's own (device and inode), whatever name it was opened by.
 * Linux: a local socket that only one process can listen at. Windows: a file beside it that one process opens for itself alone and
 * that is gone when it is closed. Elsewhere: the lock of the open file.
 */

/** Answers what lets go of the lock, or null where another writer holds it. */
export function lockFile(file: number, path: string): (() => void) | null {
  const { dev, ino } = fstatSync(file, { bigint: true });
  if (process.platform === 'linux')
    return listenAt(`\0${`tenwire-recording-${dev}-${ino}`.padEnd(LINUX_NAME_BYTES, '-')}`);
  if (process.platform === 'win32')
    return holdOpen(
      join(dirname(path), `tenwire-${ino}.lock`),
      constants.O_RDWR | constants.O_CREAT | UV_FS_O_TEMPORARY | UV_FS_O_EXLOCK,
    );
  return holdOpen(path, constants.O_RDONLY | constants.O_NONBLOCK | O_EXLOCK);
}

/** All that a socket's address holds: a shorter name is filled up with zeros by some versions of Node and not by others. */
const LINUX_NAME_BYTES = 107;

function listenAt(address: string): (() => void) | null {
  const server = createServer((caller) => caller.destroy());
  server.on('error', () => {});
  server.listen({ path: address, exclusive: true });
  // Bound before `listen` returns; only the word of it comes later.
  if (!server.listening) return null;
  server.unref();
  return () => server.close();
}

/** `O_EXLOCK` of BSD and macOS, which Node does not name: the open fails where another holds the file so. */
const O_EXLOCK = 0x20;

/** The same of libuv on Windows (uv/win.h): opened without sharing, and deleted when the last handle is closed. */
const UV_FS_O_EXLOCK = 0x10000000;
const UV_FS_O_TEMPORARY = 0x40;

function holdOpen(path: string, flags: number): (() => void) | null {
  try {
    const held = openSync(path, flags);
    return () => closeSync(held);
  } catch {
    return null;
  }
}
