import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { builtTenwire, type Running } from '../cli/tenwire.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';

/** As docs/room.md says, with the program as it is shipped. */

const tenwire = builtTenwire();
let folder: string;
let room: Running;

const addressIn = (running: Running): string => /--room (\S+)/.exec(running.out())?.[1] ?? '';
const tokenIn = (running: Running): string => /TENWIRE_ROOM_TOKEN=(\S+)/.exec(running.out())?.[1] ?? '';

beforeEach(async () => {
  folder = temporaryFolder();
  const args = ['room', '--name', 'physics-1', '--mqtt-port', '0', '--http-port', '0'];
  room = tenwire.start(args, { cwd: folder });
  await until(() => /class board/.test(room.out()), 'the room');
});
afterEach(async () => {
  room.child.kill('SIGINT');
  await room.ended;
  rmSync(folder, { recursive: true, force: true });
});

const atBench = (args: string[], token: string | null) => {
  const { TENWIRE_ROOM_TOKEN: _, ...rest } = process.env;
  const env = token === null ? rest : { ...rest, TENWIRE_ROOM_TOKEN: token };
  return tenwire.start([...args, '--home', join(folder, 'bench'), '--room', addressIn(room)], { env });
};

describe('a room and a bench in two shells', () => {
  it('bring the recording to the room, the token needed once', async () => {
    const first = atBench(
      ['demo', '--once', '--speed', '60', '--http-port', '0', '--station', 'bench-1'],
      tokenIn(room),
    );
    expect(await first.ended).toBe(0);
    const [recording] = readdirSync(join(folder, 'bench', 'recordings'));
    const copy = join(folder, 'rooms', 'physics-1', `bench-1--${recording}`);
    expect(readFileSync(copy).equals(readFileSync(join(folder, 'bench', 'recordings', recording)))).toBe(
      true,
    );
    const again = atBench(['doctor', '--station', 'bench-1'], null);
    await again.ended;
    expect(again.out()).toMatch(
      /^ok .*the room physics-1 is there, and this computer is let in as bench-1$/m,
    );
  }, 120_000);

  it('say why a bench is not let in, and the run goes on', async () => {
    const refused = atBench(['doctor', '--station', 'bench-2'], 'wrong');
    await refused.ended;
    expect(refused.out()).toMatch(/^note .*refuses this computer/m);
    const run = atBench(
      ['demo', '--once', '--speed', '60', '--http-port', '0', '--station', 'bench-2'],
      'wrong',
    );
    expect(await run.ended).toBe(0);
    expect(run.err()).toContain('TENWIRE_ROOM_TOKEN');
    expect(run.out()).toMatch(/E1\/E2 = 1\.15/);
  }, 120_000);

  it('bring what a bench could not send, a start later', async () => {
    const alone = ['demo', '--once', '--speed', '60', '--http-port', '0', '--station', 'bench-3'];
    const without = atBench(alone, 'wrong');
    expect(await without.ended).toBe(0);
    const serving = atBench(['serve', '--http-port', '0', '--station', 'bench-3'], tokenIn(room));
    const [recording] = readdirSync(join(folder, 'bench', 'recordings'));
    const whole = readFileSync(join(folder, 'bench', 'recordings', recording));
    const copies = join(folder, 'rooms', 'physics-1');
    const copyOf = () => readdirSync(copies).find((file) => file.startsWith('bench-3--'));
    await until(() => {
      const copy = copyOf();
      return copy !== undefined && readFileSync(join(copies, copy)).equals(whole);
    }, 'what was left over');
    serving.child.kill('SIGINT');
    await serving.ended;
  }, 120_000);

  it.each([
    ['a room without a name', ['serve', '--room', 'mqtt://127.0.0.1'], /name/],
    ['a password in the address', ['serve', '--room', 'mqtt://a:b@127.0.0.1/x'], /TENWIRE_ROOM_PASSWORD/],
    [
      'a station that is no name',
      ['serve', '--room', 'mqtt://127.0.0.1/x', '--station', 'Bench 4'],
      /lower-case/,
    ],
    [
      'a class and a room at once',
      ['demo', '--class', '2', '--room', 'mqtt://127.0.0.1/x'],
      /cannot be used with/,
    ],
  ])('are not begun with %s', (_title, args, why) => {
    const { code, err } = tenwire.run(args);
    expect(code).toBe(2);
    expect(err).toMatch(why);
  });
});
