import { describe, expect, test } from 'vitest';
import { positionScale } from '../../bridge/bench/calibration.ts';
import { type AmplifierStreams, createAmplifier } from '../../bridge/simulate/amplifier.ts';
import { DEFAULT_SCENE, INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { convert } from '../../bridge/simulate/front-end.ts';
import {
  createPositionSensor,
  drawScaleError,
  scaleToCounts,
} from '../../bridge/simulate/position-sensor.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import type { FrontEnd } from '../../bridge/simulate/scene.ts';

const streams = (seed = 1): AmplifierStreams => ({
  noise: randomStream(seed, 'noise'),
  wander: randomStream(seed, 'wander'),
  hum: randomStream(seed, 'hum'),
  spikes: randomStream(seed, 'spikes'),
});

const QUIET: FrontEnd['galvanometer'] = {
  zeroCounts: 2048,
  driftCountsPerMin: 0,
  noiseUa: 0,
  wander: { rmsUa: 0, timeConstantS: 1 },
  hum: { amplitudeUa: 0, frequencyHz: 50 },
  spikes: { share: 0, rmsUa: 0 },
  lagMs: 0,
};

const amplifier = (options: Partial<FrontEnd['galvanometer']>) =>
  createAmplifier({ ...QUIET, ...options }, 0.05, streams());

/** Output in microamperes of `count` samples at a rate, under a current that is a function of time. */
function record(
  options: Partial<FrontEnd['galvanometer']>,
  rateHz: number,
  count: number,
  current: (tS: number) => number,
): number[] {
  const gain = amplifier(options);
  return Array.from(
    { length: count },
    (_, index) => (gain.read(index / rateHz, current(index / rateHz), []) - 2048) * 0.05,
  );
}

const rms = (values: number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

describe('the galvanometer amplifier', () => {
  test('reads the zero without current, and the zero drifts as the scene states', () => {
    expect(amplifier({}).read(30, 0, [])).toBe(2048);
    expect(amplifier({ driftCountsPerMin: 4 }).read(30, 0, [])).toBeCloseTo(2050, 9);
  });

  test('hangs behind a steady ramp by lag times slope (single-pole filter)', () => {
    const seen = record({ lagMs: 20 }, 200, 400, (tS) => 3 * tS);
    expect(seen[399]).toBeCloseTo(3 * (399 / 200) - 3 * 0.02, 9);
  });

  test('comes to 1 - 1/e of a jump after one time constant, the jump between two samples', () => {
    const gain = amplifier({ lagMs: 20 });
    gain.read(0.99, 0, []);
    const counts = gain.read(1.023, 10, [{ atS: 1.003, beforeUa: 0, afterUa: 10 }]);
    expect((counts - 2048) * 0.05).toBeCloseTo(10 * (1 - Math.exp(-1)), 9);
  });

  test('adds hum of the amplitude and frequency in the scene', () => {
    const seen = record({ hum: { amplitudeUa: 2, frequencyHz: 50.03 } }, 200, 20_000, () => 0);
    const turn = (index: number) => (2 * Math.PI * 50.03 * index) / 200;
    const cosine =
      seen.reduce((sum, value, index) => sum + value * Math.cos(turn(index)), 0) * (2 / seen.length);
    const sine =
      seen.reduce((sum, value, index) => sum + value * Math.sin(turn(index)), 0) * (2 / seen.length);
    expect(Math.hypot(cosine, sine)).toBeCloseTo(2, 2);
  });

  test('adds noise of the RMS in the scene, white or correlated', () => {
    // 20,000 samples: the RMS scatters by 0.5 %.
    expect(rms(record({ noiseUa: 0.3 }, 200, 20_000, () => 0)) / 0.3).toBeCloseTo(1, 1);
    const slow = record({ wander: { rmsUa: 0.3, timeConstantS: 0.1 } }, 200, 100_000, () => 0);
    expect(rms(slow) / 0.3).toBeCloseTo(1, 1);
    const product =
      slow.slice(20).reduce((sum, value, index) => sum + value * slow[index], 0) / (slow.length - 20);
    expect(product / 0.09).toBeCloseTo(Math.exp(-1), 1);
  });

  test('spikes hit the share of samples in the scene', () => {
    const seen = record({ spikes: { share: 0.01, rmsUa: 5 } }, 200, 50_000, () => 0);
    const hit = seen.filter((value) => value !== 0);
    expect(hit.length / seen.length).toBeCloseTo(0.01, 2);
    expect(rms(hit) / 5).toBeCloseTo(1, 0);
  });
});

test('a converter gives whole counts and stops at the ends of its span', () => {
  expect([-3.2, 0.4, 17.6, 4099].map((counts) => convert({ min: 0, max: 4095 }, counts))).toEqual([
    0, 0, 18, 4095,
  ]);
});

describe('the position sensor', () => {
  const position = DEFAULT_SCENE.bench.position!;

  test('counts go back to the scale by the bench file', () => {
    const back = positionScale(position);
    for (const scaleCm of [-1, 0, 12.3, 50, 77.7, 100, 101]) {
      expect(back(scaleToCounts(position)(scaleCm))).toBeCloseTo(scaleCm, 9);
    }
  });

  test("the scale error has the covariance of the format: u^2 exp(-((x - x')/c)^2)", () => {
    const draws = 4000;
    const at = [0, 3, 40, 47.5, 55, 100];
    const rows = Array.from({ length: draws }, (_, seed) =>
      at.map(drawScaleError(0.03, 15, 100, randomStream(seed, 'error'))),
    );
    for (const [i, x] of at.entries()) {
      for (const [j, y] of at.entries()) {
        const covariance = rows.reduce((sum, row) => sum + row[i] * row[j], 0) / draws / 0.03 ** 2;
        // Standard error of a covariance of 4,000 draws is at most 0.022; four of them.
        expect(Math.abs(covariance - Math.exp(-(((x - y) / 15) ** 2)))).toBeLessThan(0.09);
      }
    }
  });

  test('backlash shifts by direction, whatever the speed, and by no more than the scene states', () => {
    const sensor = createPositionSensor(
      INVENTED_BENCH,
      { noiseCm: 0, backlashCm: 0.2, scaleErrorCm: 0, scaleCorrelationCm: null },
      { noise: randomStream(1, 'a'), scaleError: randomStream(1, 'b') },
    );
    const back = positionScale(position);
    const read = (scaleCm: number) => back(sensor.read(scaleCm));
    read(10);
    expect(read(20)).toBeCloseTo(19.9, 9);
    expect(read(20.05)).toBeCloseTo(19.95, 9);
    expect(read(19)).toBeCloseTo(19.1, 9);
    expect(read(19.05)).toBeCloseTo(19.1, 9);
  });
});
