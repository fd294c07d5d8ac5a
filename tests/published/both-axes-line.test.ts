import { describe, expect, test } from 'vitest';
import { bothAxesLine } from '../../bridge/calc-core/line-fit.ts';
import { voltageAt, wireLine } from '../../bridge/calc-core/reference-cell.ts';

/** Straight lines with errors in both axes. */

const X = [0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
const Y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
const WEIGHT_X = [1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1];
const WEIGHT_Y = [1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500];
const UX = WEIGHT_X.map((weight) => 1 / Math.sqrt(weight));
const UY = WEIGHT_Y.map((weight) => 1 / Math.sqrt(weight));

describe("Pearson's data (1901) with York's weights (1966)", () => {
  const line = bothAxesLine(X.map((x, index) => ({ x, y: Y[index], ux: UX[index], uy: UY[index] })));

  test('line as published by Williamson, Reed, Lybanon, Neri', () => {
    expect(line?.intercept).toBeCloseTo(5.47991022403, 10);
    expect(line?.slope).toBeCloseTo(-0.48053340745, 10);
  });

  // Three conventions of standard error are in print. This is York's: at the adjusted points, not scaled by the scatter.
  test("York's standard errors and goodness of fit; Am. J. Phys. 72, 367 (2004)", () => {
    expect(line?.uIntercept).toBeCloseTo(0.294970735, 9);
    expect(line?.uSlope).toBeCloseTo(0.057985009, 9);
    expect((line?.chiSquare ?? 0) / 8).toBeCloseTo(1.483294149, 8);
    expect(line?.covariance).toBeCloseTo(-0.016472544658, 10);
  });
});

// Mathioulakis and Belessiotis, Meas. Sci. Technol. 11, 771 (2000); the attribution is from memory
// biome-ignore format: a table of the source
const READING: [number, number][] = [
  [0.001, 0.0175], [10.0867, 0.0186], [20.2531, 0.0183], [30.3477, 0.0186], [40.6713, 0.0188], [50.8418, 0.0191],
  [60.9435, 0.0202], [71.1146, 0.0204], [81.3378, 0.021], [91.5948, 0.0217],
];
// biome-ignore format: a table of the source
const REFERENCE: [number, number][] = [
  [0.1335, 0.0106], [9.9303, 0.0107], [19.8774, 0.0108], [29.8626, 0.011], [39.8619, 0.0113], [49.8241, 0.0115],
  [59.7264, 0.0098], [69.6918, 0.0101], [79.674, 0.0104], [89.7215, 0.0107],
];

describe('calibration line with uncertainties in both axes', () => {
  const points = READING.map(([lengthCm, uLengthCm], index) => {
    const [emfV, uEmfV] = REFERENCE[index];
    return { lengthCm, uLengthCm, emfV, uEmfV };
  });
  const line = wireLine(points) as NonNullable<ReturnType<typeof wireLine>>;

  test('as published', () => {
    expect(line.interceptV).toBeCloseTo(0.0991, 3);
    expect(line.uInterceptV).toBeCloseTo(0.0123, 4);
    expect(line.gradientVPerCm).toBeCloseTo(0.97839, 4);
    expect(line.uGradientVPerCm).toBeCloseTo(0.00024, 5);
    // printed -2.41e-6, which is -2.415e-6 cut off
    expect(Math.abs(line.covariance + 2.41e-6)).toBeLessThan(1e-8);
  });

  test('to the digits recomputed from the data', () => {
    expect(line.interceptV).toBeCloseTo(0.0990342421, 9);
    expect(line.gradientVPerCm).toBeCloseTo(0.9783964125, 9);
    expect(line.chiSquare).toBeCloseTo(23.549210404, 7);
  });

  test('a voltage read from the line is surest in its middle', () => {
    const u = (lengthCm: number) => voltageAt(line, lengthCm, 0).uEmfV;
    expect(u(50)).toBeLessThan(u(0));
    expect(u(50)).toBeLessThan(u(100));
    expect(voltageAt(line, 0, 0).uEmfV).toBeCloseTo(line.uInterceptV, 12);
  });
});
