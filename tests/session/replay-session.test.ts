import { readdirSync, readlinkSync, writeFileSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { ReplaySession } from '../../bridge/session/replay-session.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { settle, until } from '../until.ts';
import { asJson, sessionStand } from './stand.ts';

const stand = sessionStand();
const text = `${RECORDING_HEADER}\n${[...simulateRun(DEFAULT_SCENE)].map((record) => `${formatRecord(record)}\n`).join('')}`;

let path: string;
let replay: ReplaySession;

async function open(speed: number): Promise<void> {
  replay = new ReplaySession({ id: 'r', path, speed, makeRun: stand.makeRun });
  expect(await replay.start()).toBeNull();
}

beforeEach(() => {
  path = stand.path('a.rec');
  writeFileSync(path, text);
});
afterEach(() => replay.close());

describe('a replay', () => {
  it('plays at its speed and can be paused', async () => {
    await open(1);
    await until(() => replay.playback().atS > 0.05, 'it plays');
    expect(replay.playback()).toMatchObject({ playing: true, speed: 1 });
    expect(replay.play({ playing: false })).toEqual({ ok: true });
    const { atS } = replay.playback();
    await settle(60);
    expect(replay.playback()).toMatchObject({ playing: false, atS });
    replay.play({ playing: true, speed: 1000 });
    await until(() => !replay.playback().playing, 'the end');
    expect(replay.playback().atS).toBeGreaterThan(200);
  });

  it('knows how long the whole is and where its nulls lie', async () => {
    await open(1);
    await until(() => replay.playback().durationS > 0, 'it has looked ahead');
    const folded = await runFromRecording(path, stand.makeRun);
    if (!folded.ok) throw new Error(folded.fault.text);
    const view = folded.run.view();
    expect(replay.playback().durationS).toBe(view.durationS);
    expect(replay.playback().nulls).toEqual(view.nulls.map(({ id, atS, cell }) => ({ id, atS, cell })));
  });

  it('jumps forward and back, and what is shown is what a fold up to there shows', async () => {
    await open(1);
    replay.play({ playing: false });
    let anew = 0;
    replay.onAnew(() => {
      anew += 1;
    });
    replay.play({ seekS: 100 });
    await until(() => replay.playback().atS >= 100, 'forward');
    const forward = replay.view();
    expect(replay.playback().atS).toBeLessThan(101);
    expect(anew).toBe(0);
    replay.play({ seekS: 20 });
    await until(() => replay.playback().atS >= 20 && replay.playback().atS < 25, 'back');
    expect(anew).toBe(1);
    expect(replay.view().nulls.length).toBeLessThan(forward.nulls.length);
    replay.play({ seekS: 100 });
    await until(() => replay.playback().atS >= 100, 'forward again');
    expect(asJson(replay.view())).toEqual(asJson(forward));
  });

  it('goes to the last of two places asked for at once', async () => {
    await open(1);
    replay.play({ playing: false });
    replay.play({ seekS: 150 });
    replay.play({ seekS: 60 });
    await until(() => replay.playback().atS >= 60, 'the place');
    await settle(50);
    expect(replay.playback().atS).toBeLessThan(62);
  });

  it('steps from null to null', async () => {
    await open(1);
    replay.play({ playing: false });
    await until(() => replay.playback().nulls.length > 0, 'it has looked ahead');
    const found = () => replay.view().nulls.length;
    for (const count of [1, 2, 3]) {
      replay.play({ step: 'next' });
      await until(() => found() === count, `null ${count}`);
    }
    replay.play({ step: 'back' });
    await until(() => found() === 2, 'back to the second');
    let ended = false;
    replay.onEnded(() => {
      ended = true;
    });
    replay.play({ seekS: 1e9 });
    await until(() => ended, 'the end');
    const { atS } = replay.playback();
    replay.play({ step: 'next' });
    await settle(50);
    expect(replay.playback().atS).toBe(atS);
    expect(found()).toBe(replay.playback().nulls.length);
  });

  it('steps over typed lengths that were taken back, to the last null and to the one before it', async () => {
    // Events 1 and 2 open the recording.
    const typed = { kind: 'length', cell: 1, row: 8, scaleCm: 20 };
    const words = [typed, typed, { kind: 'undo', event: 3 }, { kind: 'undo', event: 4 }];
    const [header, first, ...rest] = text.split('\n');
    const later = rest.findIndex((line) => Number.parseFloat(line) > 5000);
    const events = words.map((event) => `5000 ! ${JSON.stringify(event)}`);
    writeFileSync(path, [header, first, ...rest.slice(0, later), ...events, ...rest.slice(later)].join('\n'));
    await open(1);
    replay.play({ playing: false });
    await until(() => replay.playback().nulls.length > 0, 'it has looked ahead');
    const ids = replay.playback().nulls.map(({ id }) => id);
    expect(ids[0]).toBe('n3');
    const shown = () => replay.view().nulls.map(({ id }) => id);
    for (let count = 1; count <= ids.length; count += 1) {
      replay.play({ step: 'next' });
      await until(() => shown().length === count, `null ${ids[count - 1]}`);
    }
    replay.play({ step: 'back' });
    await until(() => shown().length === ids.length - 1, 'back by one');
    expect(shown()).toEqual(ids.slice(0, -1));
  });

  it('plays again from its start once it has ended', async () => {
    await open(1000);
    await until(() => !replay.playback().playing, 'the end');
    const whole = asJson(replay.view());
    replay.play({ playing: true });
    await until(() => replay.playback().atS < 50, 'the start');
    await until(() => !replay.playback().playing, 'the end again');
    expect(asJson(replay.view())).toEqual(whole);
  });

  it('plays one source into one fold, whatever is asked at once after its end', async () => {
    await open(1000);
    await until(() => !replay.playback().playing, 'the end');
    const whole = asJson(replay.view());
    let anew = 0;
    replay.onAnew(() => {
      anew += 1;
    });
    replay.play({ seekS: 1, playing: true, speed: 1000 });
    expect(anew).toBe(1);
    await until(() => !replay.playback().playing, 'the end again');
    expect(asJson(replay.view())).toEqual(whole);
    for (const at of [5, 90, 2, 40, 1]) {
      replay.play({ seekS: at, playing: true, speed: 1000 });
      replay.play({ step: 'back' });
      replay.play({ playing: true });
    }
    await until(() => !replay.playback().playing, 'the end once more');
    expect(asJson(replay.view())).toEqual(whole);
  });

  it('stays at the end when asked to go beyond it', async () => {
    await open(1);
    replay.play({ seekS: 1e9, playing: true });
    await until(() => !replay.playback().playing, 'the end');
    await settle(50);
    expect(replay.playback().atS).toBeGreaterThan(200);
  });

  it.skipIf(process.platform !== 'linux')(
    'leaves no file open, asked much at once and after it is closed',
    async () => {
      const opened = () =>
        readdirSync('/proc/self/fd').filter((fd) => {
          try {
            return readlinkSync(`/proc/self/fd/${fd}`) === path;
          } catch {
            return false;
          }
        }).length;
      await open(1);
      await until(() => replay.playback().durationS > 0, 'it has looked ahead');
      for (let count = 0; count < 20; count += 1) {
        replay.play({ seekS: 50 });
        replay.play({ seekS: 0, playing: true });
        replay.play({ step: 'back' });
      }
      expect(opened()).toBe(1);
      const closing = replay.close();
      replay.play({ seekS: 0, playing: true });
      await closing;
      expect(opened()).toBe(0);
    },
  );

  it('can not be written to, and says how to', async () => {
    await open(1);
    expect(replay.recordEvent()).toMatchObject({ ok: false, text: expect.stringContaining('--resume') });
  });

  it('says what is wrong with a file that is none', async () => {
    writeFileSync(path, 'a letter');
    replay = new ReplaySession({ id: 'r', path, speed: 1, makeRun: stand.makeRun });
    expect(await replay.start()).toMatchObject({ code: 'not-a-recording' });
  });

  it('leaves a torn end out, and says so', async () => {
    writeFileSync(path, text.slice(0, -20));
    await open(1000);
    await until(() => !replay.playback().playing, 'the end');
    expect(replay.view().findings.map((finding) => finding.code)).toContain('recording-torn');
  });
});
