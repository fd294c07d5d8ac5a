import { afterEach, describe, expect, it } from 'vitest';
import { BackgroundReplay } from '../../bridge/bench-setup/background-replay.ts';
import type { LiveReading } from '../../bridge/run/view.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import { asJson } from '../session/stand.ts';
import { until } from '../until.ts';
import { builtBackground } from './built-background.ts';

const PATH = 'fixtures/comparison-four-sets.rec';
let replay: BackgroundReplay;

async function open(speed: number): Promise<void> {
  const opened = await BackgroundReplay.open({ id: 'r', path: PATH, speed, background: builtBackground() });
  if (!opened.ok) throw new Error(opened.text);
  replay = opened.session;
}

afterEach(() => replay.close());

describe('a replay in the background', () => {
  it('ends at the view that a report is made of', async () => {
    await open(1000);
    await new Promise<void>((ended) => replay.onEnded(ended));
    const folded = await runFromRecording(PATH, await runMaker());
    if (!folded.ok) throw new Error(folded.fault.text);
    expect(asJson(replay.view())).toEqual(asJson(folded.run.view()));
    expect(replay.playback()).toMatchObject({ playing: false, speed: 1000 });
  });

  it('obeys, and passes readings on in order, those that are void first', async () => {
    await open(20);
    const readings: LiveReading[] = [];
    replay.onReading((reading) => readings.push(reading));
    replay.onAnew(() => readings.splice(0));
    await until(
      () => readings.length > 0 && replay.playback().nulls.length > 0,
      'readings, and all nulls known',
    );
    replay.play({ seekS: 60, playing: false });
    await until(() => !replay.playback().playing && replay.playback().atS >= 60, 'it stands at 60 s');
    replay.play({ seekS: 20 });
    await until(
      () => replay.playback().atS < 30 && (readings.at(-1)?.atS ?? 0) >= 20,
      'it has gone back to 20 s',
    );
    const times = readings.map(({ atS }) => atS);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect(times.at(-1)).toBeLessThan(30);
    expect(replay.recordEvent()).toMatchObject({ ok: false });
  });

  it('that can not be read is refused with a sentence', async () => {
    await open(1);
    const refused = await BackgroundReplay.open({
      id: 'none',
      path: 'fixtures/none.rec',
      speed: 1,
      background: builtBackground(),
    });
    expect(refused).toMatchObject({ ok: false, text: expect.stringContaining('none.rec') });
  });
});
