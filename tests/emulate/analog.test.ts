import { describe, expect, test } from 'vitest';
import {
  DRIVER_MA_PER_COUNT,
  DRIVER_ZERO_COUNTS,
  GAL_NOISE_UA,
  GAL_UA_PER_COUNT,
  GAL_ZERO_COUNTS,
  galSampleCounts,
  QUANTISING_COUNTS,
  UNDITHERED_COUNTS,
} from '../../bridge/emulate/hardware.ts';
import { recordedProgram } from '../firmware-protocol/firmware.ts';
import { AT_REST, createStand, type StandOptions } from './stand.ts';

/** The chain from a current to counts, through the emulated front end and the real firmware, against the guide's arithmetic. */

/** Ramps the current slowly, so that every fraction of a count comes by, and answers with the scatter in counts. */
function scatterOnRamp(seconds: number, options: StandOptions): number {
  const uaPerS = 74.1 * GAL_UA_PER_COUNT;
  const stand = createStand({
    ...options,
    bench: (tS) => ({ ...AT_REST, galvanometerUa: uaPerS * tS - 20 }),
  });
  stand.board.run(seconds);
  const counts = stand
    .samples()
    .slice(20)
    .map((sample) => sample.gal!);
  const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const middle = (counts.length - 1) / 2;
  const level = mean(counts);
  const slope =
    mean(counts.map((count, index) => (count - level) * (index - middle))) /
    mean(counts.map((_, index) => (index - middle) ** 2));
  return Math.sqrt(mean(counts.map((count, index) => (count - level - slope * (index - middle)) ** 2)));
}

/** The firmware with its table of dither levels blanked. */
function withoutDither(): Uint16Array {
  const program = recordedProgram('tenwire');
  const bytes = Buffer.from(program.buffer);
  const at = bytes.indexOf(Buffer.from([0, 32, 16, 48, 8, 40, 24, 56]));
  expect(at).toBeGreaterThan(0);
  bytes.fill(0, at, at + 8);
  return program;
}

describe('scatter of one sample, within 10 % of the guide', () => {
  test('rounding alone: a count that 16 dithered conversions resolve', () => {
    const found = scatterOnRamp(4, { frontEnd: { noiseUa: 0 } });
    expect(found / QUANTISING_COUNTS).toBeGreaterThan(0.9);
    expect(found / QUANTISING_COUNTS).toBeLessThan(1.1);
  });

  test('the same without dither: the converter’s own step, four times as coarse', () => {
    const found = scatterOnRamp(4, { frontEnd: { noiseUa: 0 }, program: withoutDither() });
    expect(found / UNDITHERED_COUNTS).toBeGreaterThan(0.9);
    expect(found / UNDITHERED_COUNTS).toBeLessThan(1.1);
  });

  test.each([
    ['the amplifier’s own noise', GAL_NOISE_UA],
    ['ten times as much', 10 * GAL_NOISE_UA],
  ])('with %s', (_, noiseUa) => {
    const found = scatterOnRamp(6, { frontEnd: { noiseUa } });
    expect(found / galSampleCounts(noiseUa)).toBeGreaterThan(0.9);
    expect(found / galSampleCounts(noiseUa)).toBeLessThan(1.1);
  });
});

/** Mean counts at a standing state of the bench. */
function levels(state: Partial<typeof AT_REST>) {
  const stand = createStand({ bench: () => ({ ...AT_REST, ...state }), frontEnd: { noiseUa: 0 } });
  stand.board.run(0.3);
  const samples = stand.samples().slice(10);
  const mean = (channel: 'gal' | 'pos' | 'drv') =>
    samples.reduce((sum, sample) => sum + sample[channel]!, 0) / samples.length;
  return { gal: mean('gal'), pos: mean('pos'), drv: mean('drv') };
}

test.each([-99, -40.3, 0, 0.6, 77.7, 99])('%f µA lies on the line of the guide within a count', (ua) => {
  expect(
    Math.abs(levels({ galvanometerUa: ua }).gal - (GAL_ZERO_COUNTS + ua / GAL_UA_PER_COUNT)),
  ).toBeLessThan(1);
});

test.each([
  [101, 4044],
  [12_000, 4044],
  [-101, 48],
])('%f µA is beyond the span and reads its end', (ua, end) => {
  expect(levels({ galvanometerUa: ua }).gal).toBe(end);
});

test.each([0, 5, 100, 190])('%f mA of driver current', (driverMa) => {
  const wanted = DRIVER_ZERO_COUNTS + driverMa / DRIVER_MA_PER_COUNT;
  expect(Math.abs(levels({ driverMa }).drv - wanted)).toBeLessThan(1);
});

test.each([
  [0, 88],
  [50, 2046],
  [100, 3992],
])('the jockey at %f cm reads %f counts, as the bench file says', (scaleCm, wanted) => {
  expect(Math.abs(levels({ scaleCm }).pos - wanted)).toBeLessThan(1);
});

test('current just inside the end, with noise: an average of which a part was clipped is never sent', () => {
  const stand = createStand({
    bench: () => ({ ...AT_REST, galvanometerUa: 99.7 }),
    frontEnd: { noiseUa: 1 },
  });
  stand.board.run(1.5);
  const counts = stand
    .samples()
    .slice(10)
    .map((sample) => sample.gal!);
  expect(counts.some((count) => count === 4044)).toBe(true);
  // The clipped ones would have dragged these down: 99.7 uA is 4040 counts and they scatter by 20.
  const clear = counts.filter((count) => count < 4044);
  expect(clear.every((count) => count < 4044 && count > 3960)).toBe(true);
});
