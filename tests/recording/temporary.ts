import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach } from 'vitest';

/** A folder of its own for each test of the file; answers the path of a name in it. */
export function temporaryFiles(): (name: string) => string {
  let folder = '';
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'tenwire-test-'));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  return (name) => join(folder, name);
}
