import { closeSync, openSync, readSync, statSync } from 'node:fs';

/**
 * Whether a report must not be written to a path: a file is there that does not begin as this report does, up to and with
 * `mark`. A name given by mistake is a recording's or a bench file's, which nobody can measure again. An empty file and
 * what is no file (a pipe, a terminal) hold nothing to lose. May throw what the file system says.
 */
export function holdsSomethingElse(path: string, text: string, mark: string): boolean {
  const there = statSync(path, { throwIfNoEntry: false });
  if (there === undefined || !there.isFile() || there.size === 0) return false;
  const begin = Buffer.from(text.slice(0, text.indexOf(mark) + mark.length));
  const found = Buffer.alloc(begin.length);
  const file = openSync(path, 'r');
  try {
    return readSync(file, found, 0, found.length, 0) < begin.length || !found.equals(begin);
  } finally {
    closeSync(file);
  }
}
