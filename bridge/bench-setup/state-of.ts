import { type Stats, statSync } from 'node:fs';

/** Size and time of a file; null where it can't be read, such as a link to what is gone or a file just removed. */
export function stateOf(path: string): Stats | null {
  try {
    return statSync(path);
  } catch {
    return null;
  }
}
