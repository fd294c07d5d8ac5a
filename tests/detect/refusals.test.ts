import { describe, expect, test } from 'vitest';
import type { Shape } from '../../bridge/detect/estimate/shape.ts';
import { fitSweep } from '../../bridge/detect/estimate/sweep-fit.ts';
import type { Pass } from '../../bridge/detect/pass.ts';
import { remembering, times, whiteNoise } from './noises.ts';

/** Passes made by hand: which of them hold a null, and how sure it is. */

const N = 600;
const BENDS_MUCH = { perCm: 1, perCm2: 1 };
const STRAIGHT: Shape = {
  straighten: () => 1,
  tight: { perCm: 1e-4, perCm2: 1e-8 },
  sensed: { perCm: 1e-4, perCm2: 1e-8 },
  loose: { perCm: 1e-3, perCm2: 1e-6 },
  statedSlope: null,
};
const SETTINGS = { zeroCounts: 0, lagS: 0, shape: STRAIGHT, known: { noiseMemory: 1, stepCm: 0 } };

/** From 46 to 54 cm within three seconds; `countsAt` by the way from the middle, -1 to 1. */
function passOf(countsAt: (u: number) => number, noise: Float64Array): Pass {
  const t = times(N, 200);
  const way = t.map((_, index) => (2 * index) / (N - 1) - 1);
  const y = way.map((u, index) => countsAt(u) + noise[index]);
  return {
    t,
    x: way.map((u) => 50 + 4 * u),
    y,
    saturated: new Int8Array(N),
    start: 0,
    fitted: Int32Array.from(t.keys()),
    signsDiffer: y.some((counts) => counts > 0) && y.some((counts) => counts < 0),
  };
}

describe('a pass', () => {
  test('across the null of a straight current holds it', () => {
    const fit = fitSweep(
      passOf((u) => 100 * u - 20, whiteNoise(N, 1)),
      SETTINGS,
    );
    expect(typeof fit === 'string' ? fit : fit.rootCm).toBeCloseTo(50.8, 2);
  });

  test('at both ends of which the current has the same sign holds none, though it crosses zero between', () => {
    const shape = { ...STRAIGHT, tight: BENDS_MUCH, sensed: BENDS_MUCH, loose: BENDS_MUCH };
    const fit = fitSweep(
      passOf((u) => 30 * u * u + 20 * u - 3, whiteNoise(N, 0.5)),
      { ...SETTINGS, shape },
    );
    expect(fit).toBe('no-sign-change');
  });

  test('whose current stops growing off the null tells of it, one whose current jumps does not', () => {
    const noise = whiteNoise(N, 1);
    const clipped = passOf((u) => Math.max(-40, Math.min(40, 100 * u)), noise);
    const jumps = passOf((u) => (u < 0 ? -40 : 40), noise);
    expect([clipped, jumps].map((pass) => fitSweep(pass, SETTINGS))).toEqual(['grows-less', 'not-a-line']);
  });

  test('through noise with a memory is as unsure as its roots scatter', () => {
    const fits = Array.from({ length: 60 }, (_, seed) =>
      fitSweep(
        passOf((u) => 400 * u, remembering(N, 0.7, seed + 1)),
        SETTINGS,
      ),
    ).filter((fit) => typeof fit !== 'string');
    expect(fits).toHaveLength(60);
    const scatter = fits.reduce((sum, { rootCm }) => sum + (rootCm - 50) ** 2, 0) / fits.length;
    const promised = fits.reduce((sum, { varianceCm2 }) => sum + varianceCm2, 0) / fits.length;
    // A variance of 60 values scatters by a fifth; without the memory a fifth of it would be promised.
    expect(scatter / promised).toBeGreaterThan(0.5);
    expect(scatter / promised).toBeLessThan(1.8);
  });

  test('that either the circuit or the sensor may have bent is unsure by what that leaves open', () => {
    const pass = passOf((u) => 100 * u + 0.2 * u * u, whiteNoise(N, 2));
    const sensed = { perCm: 1e-3, perCm2: 1e-6 };
    const [sure, open] = [STRAIGHT, { ...STRAIGHT, sensed, loose: sensed }].map((shape) =>
      fitSweep(pass, { ...SETTINGS, shape }),
    );
    if (typeof sure === 'string' || typeof open === 'string') throw new Error('no null');
    expect(open.rootCm).toBeCloseTo(sure.rootCm, 6);
    expect(open.varianceCm2).toBeGreaterThan(1.1 * sure.varianceCm2);
  });
});
