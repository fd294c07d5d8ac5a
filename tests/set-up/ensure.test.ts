import type { SpawnSyncReturns } from 'node:child_process';
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  appendFileSync,
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';

/**
 * The set-up script on a project of the same shape, small enough for real runs of npm: its two build tools are
 * local packages, so that nothing is fetched.
 */

const ENSURE = fileURLToPath(new URL('../../.ci/ensure.mjs', import.meta.url));
let root: string;

const put = (path: string, content: unknown) => {
  mkdirSync(join(root, path, '..'), { recursive: true });
  writeFileSync(join(root, path), typeof content === 'string' ? content : JSON.stringify(content));
};

/** A build tool that writes down when it ran, and an install script that would do so as well. */
function putTool(name: string) {
  const script = `scripts-ran-${name}`;
  put(`tools/${name}/package.json`, {
    name,
    version: '1.0.0',
    bin: { [name]: 'tool.js' },
    scripts: { install: `node -e "require('fs').writeFileSync('${script}', '')"` },
  });
  put(
    `tools/${name}/tool.js`,
    `const fs = require('fs'); fs.mkdirSync('dist', { recursive: true });
if (fs.existsSync('break')) { console.error('${name} says no'); process.exit(1); }
fs.appendFileSync('built', '${name} ' + process.argv.slice(2).join(' ') + '\\n');`,
  );
}

/** The same for every test, as npm itself makes it. */
let lock: string | null = null;

function npm(...args: string[]): void {
  const ran = spawnSync('npm', args, { cwd: root, shell: process.platform === 'win32' });
  expect(ran.status).toBe(0);
}

function lockFile(): string {
  npm('install', '--package-lock-only', '--offline', '--ignore-scripts');
  return readFileSync(join(root, 'package-lock.json'), 'utf8');
}

/** One more package to depend on. */
function addTool(name: string): void {
  putTool(name);
  const manifest = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  manifest.devDependencies[name] = `file:tools/${name}`;
  put('package.json', manifest);
}

beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'tenwire-test-'));
  putTool('rolldown');
  putTool('vite');
  put('package.json', {
    name: 'small',
    version: '1.0.0',
    engines: { node: '>=20.19.0' },
    devDependencies: { rolldown: 'file:tools/rolldown', vite: 'file:tools/vite' },
    scripts: { 'build:bridge': 'rolldown -c one', 'build:web': 'vite build' },
  });
  put('bridge/cli.ts', '');
  mkdirSync(join(root, '.ci'));
  cpSync(ENSURE, join(root, '.ci/ensure.mjs'));
  lock ??= lockFile();
  put('package-lock.json', lock);
});

afterEach(() => rmSync(root, { recursive: true, force: true }));

/** As npm would start it, but not with what this very run of npm put into the environment. */
function environment(extra: Record<string, string>): NodeJS.ProcessEnv {
  const own = Object.entries(process.env).filter(([name]) => !name.startsWith('npm_'));
  return { ...Object.fromEntries(own), npm_config_offline: 'true', ...extra };
}

function ensure(extra: Record<string, string> = {}, ...options: string[]): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, ['.ci/ensure.mjs', ...options], {
    cwd: root,
    env: environment(extra),
    encoding: 'utf8',
  });
}

const built = (): string[] => readFileSync(join(root, 'built'), 'utf8').trim().split('\n');

describe('setting up', () => {
  it('installs and builds once, and does nothing while nothing changes', () => {
    const first = ensure();
    expect(first.stderr).toMatch(/^set-up: installing npm packages \(npm ci\)\n[\s\S]*set-up: building\n$/);
    expect(first.stdout).toBe('');
    expect(first.status).toBe(0);
    expect(built()).toEqual(['rolldown -c one', 'vite build']);
    expect(ensure()).toMatchObject({ status: 0, stderr: '', stdout: '' });
  });

  it('builds again when a source changes, and installs again when the lock file does', () => {
    ensure();
    appendFileSync(join(root, 'bridge/cli.ts'), '// changed');
    expect(ensure().stderr).toBe('set-up: building\n');
    addTool('another');
    lockFile();
    expect(ensure().stderr).toContain('npm ci');
    expect(existsSync(join(root, 'node_modules/another/package.json'))).toBe(true);
    rmSync(join(root, 'node_modules'), { recursive: true });
    expect(ensure().stderr).toContain('npm ci');
  });

  it('leaves alone what npm install has brought up to date already', () => {
    ensure();
    addTool('another');
    npm('install', '--offline', '--ignore-scripts');
    expect(ensure().stderr).toBe('set-up: building\n');
    expect(ensure().stderr).toBe('');
  });

  it('installs again where the packages are those of another platform', () => {
    ensure();
    put('node_modules/.tenwire-lock', 'other-cpu 0123');
    expect(ensure().stderr).toContain('npm ci');
  });

  it.each([
    ['in production', { NODE_ENV: 'production' }],
    ['where development packages are left out', { npm_config_omit: 'dev' }],
    ['where scripts are turned off', { npm_config_ignore_scripts: 'true' }],
    ['where another package manager named itself', { npm_execpath: '/opt/other/other.js' }],
  ])('works %s', (_, extra) => {
    expect(ensure(extra)).toMatchObject({ status: 0 });
    expect(built()).toHaveLength(2);
  });

  it('runs no install script, so that no compiler is asked for', () => {
    ensure();
    expect(existsSync(join(root, 'tools/vite/scripts-ran-vite'))).toBe(false);
  });

  it('lets a second start wait for the first', async () => {
    const starts = [0, 1, 2].map(() =>
      spawn(process.execPath, ['.ci/ensure.mjs'], { cwd: root, env: environment({}), stdio: 'ignore' }),
    );
    const codes = await Promise.all(starts.map(async (start) => (await once(start, 'exit'))[0]));
    expect(codes).toEqual([0, 0, 0]);
    expect(built()).toHaveLength(2);
    expect(existsSync(join(root, '.cache/set-up.lock'))).toBe(false);
  });

  it('is not held up by a start that was killed', () => {
    const gone = spawnSync(process.execPath, ['-e', '']).pid;
    put('.cache/set-up.lock', String(gone));
    expect(ensure()).toMatchObject({ status: 0 });
  });
});

describe('a set-up that fails', () => {
  it('says so where npm ci does not work, and tries again next time', () => {
    put('package-lock.json', '{');
    const failed = ensure();
    expect(failed.status).toBe(1);
    expect(failed.stderr).toContain('npm ci failed');
    expect(ensure().stderr).toContain('npm ci failed');
  });

  it('shows the build’s error, and tries again next time', () => {
    put('break', '');
    const failed = ensure();
    expect(failed.status).toBe(1);
    expect(failed.stderr).toContain('rolldown says no');
    rmSync(join(root, 'break'));
    expect(ensure()).toMatchObject({ status: 0, stderr: 'set-up: building\n' });
  });

  // Windows has no users to step down to.
  it.skipIf(process.platform === 'win32')('names the Debian packages that it may not install', () => {
    const script = readFileSync(ENSURE, 'utf8')
      .replace("socat: 'socat'", "'no-such-tool': 'no-such-package'")
      .replaceAll("'socat'", "'no-such-tool'");
    put('.ci/ensure.mjs', script);
    ensure();
    chmodSync(root, 0o755);
    const nobody = process.getuid?.() === 0 ? { uid: 65534, gid: 65534 } : {};
    const options = { cwd: root, env: environment({}), encoding: 'utf8' as const, ...nobody };
    const failed = spawnSync(process.execPath, ['.ci/ensure.mjs', '--test'], options);
    expect(failed.status).toBe(1);
    expect(failed.stderr).toContain('the tests need');
    expect(failed.stderr).toContain('no-such-package');
    expect(spawnSync(process.execPath, ['.ci/ensure.mjs'], options)).toMatchObject({ status: 0, stderr: '' });
  });

  it('names the Node it needs', () => {
    put('package.json', { engines: { node: '>=99.1.0' } });
    expect(ensure()).toMatchObject({ status: 1, stderr: expect.stringContaining('Node 99.1.0 or later') });
  });
});
