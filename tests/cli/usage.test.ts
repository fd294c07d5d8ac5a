import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { temporaryFiles } from '../recording/temporary.ts';
import { builtTenwire } from './tenwire.ts';

const file = temporaryFiles();
const tenwire = builtTenwire();

const ABOUT = ['--by', 'A. Tester', '--temperature', '21.5'];

describe('exit codes', () => {
  it.each([
    [['--help'], 0],
    [['--version'], 0],
    [['run', '--help'], 0],
    [['help', 'demo'], 0],
    [[], 0],
    [['nothing'], 2],
    [['demo', '--speed', 'fast'], 2],
    [['demo', '--speed', '0'], 2],
    [['demo', '--seed', '-1'], 2],
    [['demo', '--http-port', '70000'], 2],
    [['demo', '--plain-board', '--once'], 2],
    [['serve', '--http-port', 'x'], 2],
    [['run'], 2],
    [['run', '--port', 'x', '--baud', '12'], 2],
    [['run', '--port', 'x', '--procedure', 'magic'], 2],
    [['replay'], 2],
    [['report'], 2],
    [['report', 'none.rec'], 1],
    [['replay', 'none.rec'], 1],
    [['ports'], 0],
  ] as const)('%j ends with %i', (args, code) => {
    const ran = tenwire.run([...args]);
    expect({ code: ran.code, words: ran.out + ran.err !== '' }).toEqual({ code, words: true });
    expect(ran.err).not.toContain('    at ');
  });

  it('says on its standard output what was asked for, and everything else beside it', () => {
    expect(tenwire.run(['--help']).err).toBe('');
    expect(tenwire.run(['report', 'none.rec']).out).toBe('');
    expect(tenwire.run(['report', 'none.rec']).err).toBe('there is no file none.rec\n');
  });
});

describe('a bench file that can not be used', () => {
  const run = (bench: unknown) => {
    const path = file('bench.json');
    writeFileSync(path, typeof bench === 'string' ? bench : JSON.stringify(bench));
    return tenwire.run(['run', '--port', '/dev/none', '--bench', path, ...ABOUT, '--out', file('a.rec')]);
  };

  it('names every field that is missing or senseless, and what was expected', () => {
    const { wire: _, ...rest } = INVENTED_BENCH;
    const ran = run({ ...rest, galvanometer: { ...rest.galvanometer, resistanceOhm: -3 }, format: 'x' });
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('wire: missing');
    expect(ran.err).toContain('galvanometer.resistanceOhm: a number above 0');
    expect(ran.err).toContain('format: "tenwire-bench/1"');
    expect(existsSync(file('a.rec'))).toBe(false);
  });

  it.each(['not json', '[]', 'null'])('is %j', (text) => {
    expect(run(text).code).toBe(2);
  });

  it('is not there, or is not given', () => {
    expect(tenwire.run(['run', '--port', 'x', '--bench', file('none.json'), ...ABOUT]).code).toBe(2);
    const ran = tenwire.run(['run', '--port', 'x', ...ABOUT]);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('--bench');
  });
});

describe('a run that can not begin', () => {
  function run(...more: string[]) {
    writeFileSync(file('bench.json'), JSON.stringify(INVENTED_BENCH));
    return tenwire.run(['run', '--port', '/dev/none', '--bench', file('bench.json'), ...more], {
      cwd: file('.'),
    });
  }

  it('has no port: says so, lists the ports there are, leaves no empty recording', () => {
    const ran = run(...ABOUT);
    expect(ran.code).toBe(1);
    expect(ran.err).toContain('there is no port /dev/none');
    expect(ran.err).toMatch(/the ports there are:|no serial port is to be seen/);
    expect(readdirSync(join(file('.'), 'recordings'))).toEqual([]);
  });

  it('refuses a temperature that is none; without one it notes that, and goes on to the port', () => {
    const ran = run();
    expect(ran.code).toBe(1);
    expect(ran.err).toMatch(/the record still lacks .*--by.*--temperature/);
    expect(run('--by', 'A', '--temperature', 'warm').code).toBe(2);
    expect(run('--by', 'A', '--temperature', 'unknown').code).toBe(1);
  });

  it('would overwrite something', () => {
    writeFileSync(file('a.rec'), 'precious');
    expect(run(...ABOUT, '--out', file('a.rec'))).toMatchObject({
      code: 2,
      err: expect.stringContaining('is not overwritten'),
    });
  });

  it('is to go on in what is not there, or is no recording', () => {
    expect(run('--resume').code).toBe(2);
    expect(run('--resume', '--out', file('none.rec')).code).toBe(2);
    writeFileSync(file('b.rec'), '#tenwire-recording 1\n');
    expect(run('--resume', '--out', file('b.rec'), '--temperature', 'warm').code).toBe(2);
    writeFileSync(file('a.txt'), 'a letter');
    const ran = run('--resume', '--out', file('a.txt'));
    expect(ran.code).toBe(1);
    expect(ran.err).toContain('is not a recording');
  });
});
