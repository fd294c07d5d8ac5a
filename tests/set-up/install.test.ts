import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const SCRIPT = fileURLToPath(new URL('../../.ci/test-install.mjs', import.meta.url));

describe('the package', () => {
  it('installs into an empty folder, runs to a result, reports it, serves its page and gives its libraries', () => {
    const ran = spawnSync(process.execPath, [SCRIPT], { encoding: 'utf8' });
    expect(ran.status, `${ran.stdout}${ran.stderr}`).toBe(0);
    expect(ran.stdout).toContain('the libraries have types');
  }, 180_000);
});
