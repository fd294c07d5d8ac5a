import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { builtTenwire } from './tenwire.ts';

const tenwire = builtTenwire();
let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'tenwire-computer-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

describe('tenwire alone', () => {
  it('tells the usual ways to begin', () => {
    const { code, out } = tenwire.run([]);
    expect(code).toBe(0);
    expect(out).toContain('Usual ways to begin');
  });

  it('suggests the option and the command that were meant', () => {
    expect(tenwire.run(['demo', '--sped', '3']).err).toContain('--speed');
    expect(tenwire.run(['demp']).err).toContain('demo');
  });

  it.each([
    'demo',
    'serve',
    'run',
    'replay',
    'report',
    'plan',
    'ports',
    'check-board',
    'doctor',
    'service',
    'room',
  ])('%s --help has an example', (command) =>
    expect(tenwire.run([command, '--help']).out).toContain('Example:\n  tenwire '),
  );
});

describe('--home', () => {
  it('keeps recordings there, and says so where the folder is new', () => {
    const home = join(folder, 'Übungen, Gruppe 3');
    const args = ['demo', '--once', '--speed', '400', '--http-port', '0', '--home', home];
    const { code, err } = tenwire.run(args, { cwd: folder });
    expect(code).toBe(0);
    expect(err).toContain(join(home, 'benches'));
    expect(readdirSync(join(home, 'recordings'))).toHaveLength(1);
    expect(existsSync(join(folder, 'recordings'))).toBe(false);
  });
});

describe('tenwire doctor', () => {
  it('finds nothing to mend where a run can be recorded', () => {
    const { code, out } = tenwire.run(['doctor', '--home', folder]);
    expect(out).toContain(join(folder, 'recordings'));
    expect(code).toBe(0);
  });

  it('names a folder in which nothing can be made', () => {
    const file = join(folder, 'a-file');
    writeFileSync(file, '');
    const { code, out } = tenwire.run(['doctor', '--home', join(file, 'below')]);
    expect(out).toMatch(/^MEND .*a-file/m);
    expect(code).toBe(1);
  });
});

const has = (command: string) => spawnSync(command, ['--version']).status === 0;

describe('tenwire service', () => {
  it.runIf(has('systemd-analyze'))('prints a unit that systemd accepts, with a folder of any name', () => {
    const home = join(folder, 'lab 50% $HOME');
    const { code, out } = tenwire.run(['service', '--print', '--home', home]);
    expect(code).toBe(0);
    const unit = join(folder, 'tenwire.service');
    writeFileSync(unit, out.slice(out.indexOf('[Unit]')));
    const verified = spawnSync('systemd-analyze', ['verify', '--user', unit], {
      encoding: 'utf8',
      env: { ...process.env, XDG_RUNTIME_DIR: folder },
    });
    expect(verified.stderr).toBe('');
    expect(verified.status).toBe(0);
  });

  it('starts with the address of its room, and takes the token from a file', () => {
    const room = ['--room', 'mqtt://192.0.2.10/physics-1', '--station', 'bench-4'];
    const { out } = tenwire.run(['service', '--print', '--home', folder, ...room]);
    expect(out).toContain('"--room" "mqtt://192.0.2.10:1883/physics-1" "--station" "bench-4"');
    expect(out).toContain(`EnvironmentFile=-${join(folder, 'room.env')}`);
  });
});
