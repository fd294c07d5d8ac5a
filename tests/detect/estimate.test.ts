import { describe, expect, test } from 'vitest';
import { lowerMedian, median } from '../../bridge/calc-core/median.ts';
import { type Curve, evaluate, rootOf, rootVariance, slopeAt } from '../../bridge/detect/estimate/curve.ts';
import { laggedPosition } from '../../bridge/detect/estimate/lag-filter.ts';
import { NormalEquations } from '../../bridge/detect/estimate/least-squares.ts';
import { fitLevel } from '../../bridge/detect/estimate/level.ts';
import {
  correlationFactor,
  neighbourSigma,
  robustSigma,
  steadySigma,
} from '../../bridge/detect/estimate/noise.ts';
import { shapeOf } from '../../bridge/detect/estimate/shape.ts';
import { noiseKept, smoothed } from '../../bridge/detect/estimate/smooth.ts';
import { circuitOf, profileOf, restingSwitches } from '../../bridge/simulate/apparatus.ts';
import { currentsAt } from '../../bridge/simulate/circuit.ts';
import { EVEN_SCENE } from '../simulate/even-bench.ts';
import { remembering, times, whiteNoise } from './noises.ts';

/** The parts of the estimator against answers known beforehand. */

describe('a curve', () => {
  const curve: Curve = { centreCm: 40, halfCm: 2, coefficients: Float64Array.of(3, -6, 0.4, 0.1) };

  test('is zero at its root', () => {
    expect(evaluate(curve, rootOf(curve))).toBeCloseTo(0, 9);
  });

  test('has the slope of a small difference', () => {
    const off = evaluate(curve, 41.0001) - evaluate(curve, 40.9999);
    expect(slopeAt(curve, 41)).toBeCloseTo(off / 0.0002, 6);
  });

  test('leaves its root the variance of its level there over the slope squared', () => {
    const inverse = new Float64Array(16);
    inverse[0] = 0.25;
    expect(rootVariance(curve, inverse, 4, rootOf(curve))).toBeCloseTo(
      0.25 / slopeAt(curve, rootOf(curve)) ** 2,
      12,
    );
  });
});

describe('least squares', () => {
  test('with a prior lies between the two by their weights', () => {
    const equations = new NormalEquations(1);
    for (let count = 0; count < 4; count += 1) equations.add([1], 10, 1);
    equations.addPrior(0, 0, 12);
    expect(equations.solve()?.coefficients[0]).toBeCloseTo((4 * 10) / 16, 12);
    expect(equations.solve()?.inverse[0]).toBeCloseTo(1 / 16, 12);
  });

  test('answers nothing where columns repeat each other', () => {
    const equations = new NormalEquations(2);
    for (let x = 0; x < 5; x += 1) equations.add([x, 2 * x], x, 1);
    expect(equations.solve()).toBeNull();
  });
});

test('a median of an even number lies between the middle two, or is the lower of them', () => {
  expect([median([3, 1, 2]), lowerMedian([3, 1, 2])]).toEqual([2, 2]);
  expect([median([9, 1, 4, 2]), lowerMedian([9, 1, 4, 2])]).toEqual([3, 2]);
  expect(median([])).toBeNaN();
});

describe('noise', () => {
  test('its size survives a tenth of wild values', () => {
    const noise = whiteNoise(4000, 2).map((value, index) => (index % 10 === 0 ? 500 : value));
    expect(robustSigma(noise)).toBeGreaterThan(1.9);
    expect(robustSigma(noise)).toBeLessThan(2.4);
  });

  test('by its neighbours does not see a jump, nor by second differences a slope', () => {
    const jump = whiteNoise(4000, 2).map((value, index) => value + (index > 2000 ? 300 : 0));
    expect(neighbourSigma(jump)).toBeCloseTo(2, 0);
    const slope = whiteNoise(4000, 2).map((value, index) => value + 10 * index);
    expect(steadySigma(slope)).toBeCloseTo(2, 0);
    expect(neighbourSigma(slope)).toBeGreaterThan(7);
  });

  test('without a memory needs no correction', () => {
    const factors = Array.from({ length: 40 }, (_, seed) => correlationFactor(whiteNoise(600, 1, seed + 1)));
    expect(factors.filter((factor) => factor === 1).length).toBeGreaterThan(32);
  });

  /** The variance of a mean of a first-order autoregression is larger by (1 + p)/(1 - p), for many samples. */
  test.each([0.3, 0.6, -0.3])('with memory %f widens a mean as the theory of the process says', (memory) => {
    const factors = Array.from({ length: 20 }, (_, seed) =>
      correlationFactor(remembering(3000, memory, seed + 1)),
    );
    const mean = factors.reduce((sum, factor) => sum + factor, 0) / factors.length;
    expect(mean / ((1 + memory) / (1 - memory))).toBeCloseTo(1, 0);
    expect(Math.abs(mean / ((1 + memory) / (1 - memory)) - 1)).toBeLessThan(0.15);
  });
});

describe('a settled level', () => {
  test('with hum beside it is found, and its variance is what it scatters by', () => {
    const t = times(60, 200);
    const levels = Array.from({ length: 300 }, (_, seed) => {
      const y = whiteNoise(60, 1, seed + 1).map(
        (value, index) => 100 + value + 8 * Math.cos(2 * Math.PI * 50.1 * t[index] + seed),
      );
      return fitLevel(t, y, { humHz: 50.1, sampleSigma: 6 });
    });
    const off = levels.map((level) => (level?.counts ?? 0) - 100);
    const seen = off.reduce((sum, value) => sum + value * value, 0) / off.length;
    const stated = levels.reduce((sum, level) => sum + (level?.variance ?? 0), 0) / levels.length;
    expect(seen / stated).toBeGreaterThan(0.8);
    expect(seen / stated).toBeLessThan(1.25);
  });

  test('of less than four samples is none', () => {
    expect(fitLevel(times(3, 200), whiteNoise(3, 1), { humHz: null, sampleSigma: 1 })).toBeNull();
  });
});

describe('a place seen through the lag', () => {
  test('hangs back by speed times lag in a steady motion', () => {
    const t = times(400, 200);
    const lagged = new Float64Array(400);
    laggedPosition(
      t,
      t.map((tS) => 5 * tS),
      0.02,
      lagged,
    );
    expect(lagged[399]).toBeCloseTo(5 * (t[399] - 0.02), 9);
  });

  test('without lag is the place', () => {
    const x = whiteNoise(50, 1);
    const lagged = new Float64Array(50);
    laggedPosition(times(50, 200), x, 0, lagged);
    expect(lagged).toEqual(x);
  });
});

describe('smoothed places', () => {
  const t = times(4000, 200);

  test('keep a parabola', () => {
    const x = t.map((tS) => 1 + tS + 2 * tS * tS);
    const { x: smooth } = smoothed(t, x);
    expect(Math.max(...smooth.map((value, index) => Math.abs(value - x[index])))).toBeLessThan(1e-9);
  });

  test("tell the sensor's noise, and how much of it is left", () => {
    const { x, noiseVariance, ...kernel } = smoothed(t, whiteNoise(4000, 0.02));
    expect(Math.sqrt(noiseVariance)).toBeCloseTo(0.02, 3);
    const left = x.slice(20, 3980).reduce((sum, value) => sum + value * value, 0) / 3960;
    expect(left / 0.02 ** 2 / noiseKept({ x, noiseVariance, ...kernel }, 0, 1)).toBeCloseTo(1, 0);
  });
});

describe("the circuit's known bending", () => {
  const scene = EVEN_SCENE;
  const circuit = circuitOf(
    scene.apparatus,
    profileOf(scene),
    { ...restingSwitches(scene), protect: false, rheostatOhm: 4.1 },
    0,
  );
  const current = (scaleCm: number) => currentsAt(circuit, 600 + scaleCm).galvanometerUa;
  const driverMa = currentsAt(circuit, 640).driverMa;
  const bend = (of: (scaleCm: number) => number) => Math.abs(of(10) - 2 * of(50) + of(90));

  test('is taken out: what is left of a row is straight to the 3 % by which bench files are reckoned to be off', () => {
    const { straighten } = shapeOf(scene.bench, { protect: false, row: 7, driverMa });
    const before = bend(current);
    const after = bend((x) => (current(x) * straighten(x)) / straighten(50));
    expect(before).toBeGreaterThan(0.5);
    expect(after).toBeLessThan(0.03 * before);
  });

  test('is left to the fit where the row is not known', () => {
    const { straighten, tight, loose } = shapeOf(scene.bench, { protect: false, row: null, driverMa });
    expect(straighten(30)).toBe(1);
    expect(tight).toEqual(loose);
  });
});
