import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { describe, expect, test } from 'vitest';
import { rootOf, rootVariance, slopeAt } from '../../bridge/detect/estimate/curve.ts';
import { type Fit, fitWindow } from '../../bridge/detect/estimate/polynomial-fit.ts';
import type { Window } from '../../bridge/detect/estimate/window.ts';

/**
 * A null is an inverse calibration: the place at which a fitted line takes a level known beforehand. Published examples of
 * it: Graybill and Iyer, Regression Analysis (Duxbury, 1994), chapter 6; Massart and others, Handbook of Chemometrics and
 * Qualimetrics A (Elsevier, 1997), chapter 8.
 */

interface Root {
  x0: number;
  /** Of a level that is known exactly, as the galvanometer's zero nearly is. */
  uMean: number;
  /** Residual standard deviation over the slope: what one reading of the level adds. */
  uReading: number;
  fit: Fit;
}

function rootAt(x: number[], y: number[], level: number): Root {
  const [low, high] = [Math.min(...x), Math.max(...x)];
  const window: Window = {
    t: Float64Array.from(x, (_, index) => index),
    x: Float64Array.from(x),
    y: Float64Array.from(y, (value) => value - level),
    weight: new Uint8Array(x.length).fill(1),
    centreCm: (low + high) / 2,
    halfCm: (high - low) / 2,
  };
  const fit = fitWindow(window, null, null);
  if (fit === null) throw new Error('no fit');
  // The straight line's covariance, as wide as the polynomial's that `rootVariance` reads.
  const inverse = new Float64Array(16);
  for (const [i, j] of [
    [0, 0],
    [0, 1],
    [1, 0],
    [1, 1],
  ])
    inverse[4 * i + j] = fit.inverse[fit.size * i + j];
  const x0 = rootOf(fit.curve);
  return {
    x0,
    uMean: fit.sigma * Math.sqrt(rootVariance(fit.curve, inverse, 4, x0)),
    uReading: fit.sigma / Math.abs(slopeAt(fit.curve, x0)),
    fit,
  };
}

/**
 * Fieller's interval for the root of a line (E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175): all places x at which the
 * line is no further from zero than t standard errors of it, in closed form. Written here on its own, as a check.
 */
function fieller({ fit }: Root, t: number, readings = Number.POSITIVE_INFINITY): [number, number] {
  const [b0, b1] = fit.curve.coefficients;
  const k2 = (t * fit.sigma) ** 2;
  const [v00, v01, , v11] = fit.inverse;
  const a = b1 ** 2 - k2 * v11;
  const b = b0 * b1 - k2 * v01;
  const c = b0 ** 2 - k2 * (v00 + 1 / readings);
  const root = Math.sqrt(b * b - a * c);
  const place = (u: number) => fit.curve.centreCm + u * fit.curve.halfCm;
  const ends = [place((-b - root) / a), place((-b + root) / a)];
  return [Math.min(...ends), Math.max(...ends)];
}

const range = (from: number, to: number, step: number): number[] =>
  Array.from({ length: Math.round((to - from) / step) + 1 }, (_, index) => from + step * index);

const THERMOSTAT = { x: range(96, 110, 2), y: [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21] };
const CHAMBER = {
  x: range(0, 100, 10),
  y: [206.36, 225.52, 252.18, 289.33, 318.11, 349.49, 383.03, 410.7, 444.4, 469.14, 501.16],
};
const CRYSTAL = {
  x: range(2, 28, 2),
  y: [0.08, 1.12, 4.43, 4.98, 4.92, 7.18, 5.57, 8.4, 8.81, 10.81, 11.16, 10.12, 13.12, 15.04],
};
const MASSART = { x: range(0, 50, 10), y: [4.0, 21.2, 44.6, 61.8, 78.0, 105.2] };

describe('Graybill and Iyer', () => {
  test('p. 431: a thermostat read at 104, 95 %', () => {
    const root = rootAt(THERMOSTAT.x, THERMOSTAT.y, 104);
    expect(root.x0).toBeCloseTo(103.995, 3);
    const [low, high] = fieller(root, studentQuantile(0.975, 6), 1);
    expect(low).toBeCloseTo(103.4, 1);
    expect(high).toBeCloseTo(104.59, 2);
    expect(Math.hypot(root.uMean, root.uReading)).toBeCloseTo(0.2420006, 6);
  });

  test('p. 433: where a chamber has a mean response of 400, 99 %', () => {
    const root = rootAt(CHAMBER.x, CHAMBER.y, 400);
    expect(root.x0).toBeCloseTo(66.5, 1);
    const [low, high] = fieller(root, studentQuantile(0.995, 9));
    expect(low).toBeCloseTo(65.07, 2);
    expect(high).toBeCloseTo(68.03, 2);
  });

  test('p. 434: when a crystal has grown to 5 g on average, 90 %', () => {
    const root = rootAt(CRYSTAL.x, CRYSTAL.y, 5);
    expect(root.x0).toBeCloseTo(9.93, 2);
    expect(root.uMean).toBeCloseTo(0.6658998, 6);
    expect(Math.hypot(root.uMean, root.uReading)).toBeCloseTo(2.211698, 5);
    const [low, high] = fieller(root, studentQuantile(0.95, 12));
    expect(low).toBeCloseTo(8.65, 2);
    expect(high).toBeCloseTo(11.05, 2);
  });
});

test.each([
  { level: 15, readings: 1, x0: 6.1, halfWidth: 4.9 },
  { level: 90, readings: 1, x0: 43.9, halfWidth: 4.9 },
  { level: 90, readings: 5, x0: 43.9, halfWidth: 3.2 },
])(
  'Massart and others, example 7: level $level read $readings times',
  ({ level, readings, x0, halfWidth }) => {
    const root = rootAt(MASSART.x, MASSART.y, level);
    expect(root.x0).toBeCloseTo(x0, 1);
    const u = Math.hypot(root.uMean, root.uReading / Math.sqrt(readings));
    expect(studentQuantile(0.975, 4) * u).toBeCloseTo(halfWidth, 1);
  },
);

describe("Fieller's interval beside the delta method", () => {
  /** A line through 40 readings about its root, whose slope stands so many of its standard errors from none. */
  function lineOf(slopeSigmas: number, rootAtX: number): Root {
    const x = range(-1, 1, 2 / 39);
    // Residuals of alternating sign leave the line as it is and have a standard deviation of very nearly 1.
    const wanted = slopeSigmas / Math.sqrt(x.reduce((sum, value) => sum + value * value, 0));
    return rootAt(
      x,
      x.map(
        (value, index) => wanted * (value - rootAtX) + (index % 4 < 2 ? 1 : -1) * (index % 2 === 0 ? 1 : -1),
      ),
      0,
    );
  }
  const widthRatio = (root: Root): number => {
    const t = studentQuantile(0.975, 38);
    const [low, high] = fieller(root, t);
    return (high - low) / (2 * t * root.uMean);
  };

  test('agree where the slope is well known', () => {
    expect(widthRatio(lineOf(100, 0.3))).toBeCloseTo(1, 2);
  });

  test('differ by a few parts in a hundred at the least slope that is taken for a null (8 standard errors)', () => {
    for (const place of [0, 0.3, 0.8]) {
      const ratio = widthRatio(lineOf(8, place));
      expect(ratio).toBeGreaterThan(0.99);
      expect(ratio).toBeLessThan(1.06);
    }
  });

  test('part where the slope is hardly known, which is why such a fit is refused', () => {
    expect(widthRatio(lineOf(3, 0.8))).toBeGreaterThan(1.25);
  });
});
