import { describe, expect, test } from 'vitest';
import { createStand, lostAmong, restartAt, type Stand, stepsUs } from './stand.ts';

/** The real firmware, instruction by instruction: its rate is kept and every line decodes. */

function expectSound(stand: Stand, rateHz: number, seconds: number): void {
  const samples = stand.samples();
  expect(stand.frames().filter((frame) => frame.type === 'bad')).toEqual([]);
  expect(stand.events('overrun')).toEqual([]);
  expect(lostAmong(samples)).toBe(0);
  expect(Math.abs(samples.length - rateHz * seconds)).toBeLessThanOrEqual(3);
  const steps = stepsUs(samples);
  expect(Math.max(...steps) - Math.min(...steps)).toBeLessThanOrEqual(4);
  const meanUs = (samples.at(-1)!.tUs - samples[0].tUs) / (samples.length - 1);
  expect(Math.abs((meanUs * rateHz) / 1e6 - 1)).toBeLessThan(
    2e-6 + 4 / (samples.at(-1)!.tUs - samples[0].tUs),
  );
}

test('200 Hz at 115200 baud over eleven seconds: every line sound, H and C every ten seconds', () => {
  const stand = createStand();
  stand.board.run(11);
  expectSound(stand, 200, 11);
  expect(stepsUs(stand.samples()).every((step) => step === 5000)).toBe(true);
  const hellos = stand.frames().filter((frame) => frame.type === 'H');
  expect(hellos).toHaveLength(2);
  expect(stand.frames().filter((frame) => frame.type === 'C')).toHaveLength(6);
});

describe('the highest rate of each baud rate is kept, and one more is refused', () => {
  test.each([
    [57600, 115],
    [115200, 230],
    [250000, 500],
    [500000, 1000],
  ])('%i baud: %i Hz', (baud, mostHz) => {
    const stand = createStand();
    restartAt(stand, baud);
    stand.board.run(0.3);
    stand.send(`R,${mostHz + 1}\nR,${mostHz}\n`);
    stand.board.run(0.3);
    const answers = stand.frames().filter((frame) => frame.type === 'A' || frame.type === 'X');
    expect(answers).toEqual([
      { type: 'X', command: 'R', reason: `from 4 to ${mostHz} at ${baud} baud` },
      { type: 'A', command: `R,${mostHz}` },
    ]);
    stand.clear();
    stand.board.run(3);
    // what was cut off by clear() is no line of the board's
    expectSound({ ...stand, frames: () => stand.frames().slice(1) }, mostHz, 3);
  });
});

test('a rate whose period is no whole number of ticks has the right mean', () => {
  const stand = createStand();
  stand.board.run(0.1);
  stand.send('R,70\n');
  stand.board.run(0.2);
  stand.clear();
  stand.board.run(4);
  const steps = stepsUs(stand.samples().slice(1));
  expect(new Set(steps)).toEqual(new Set([14284, 14288]));
  const meanUs = steps.reduce((sum, step) => sum + step, 0) / steps.length;
  expect(Math.abs(meanUs - 1e6 / 70)).toBeLessThan(4 / steps.length);
});

test.each([4, 3])('the lowest rate: %i Hz', (rateHz) => {
  const stand = createStand();
  stand.board.run(0.1);
  stand.send(`R,${rateHz}\n`);
  stand.board.run(2);
  const accepted = stand.frames().some((frame) => frame.type === 'A');
  expect(accepted).toBe(rateHz === 4);
  if (accepted) expect(stepsUs(stand.samples()).at(-1)).toBe(250_000);
});
