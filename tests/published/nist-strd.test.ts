import * as simpleStatistics from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { ordinaryLine, originLine } from '../../bridge/calc-core/line-fit.ts';
import { plainMean } from '../../bridge/calc-core/plain-mean.ts';

/** NIST Statistical Reference Datasets: certified values, compared by the number of digits that agree. */

const digits = (found: number | undefined, certified: number): number => {
  const off = Math.abs(((found ?? Number.NaN) - certified) / certified);
  return off === 0 ? 16 : -Math.log10(off);
};

// biome-ignore format: a table of the source
const NORRIS: [number, number][] = [
  [0.2, 0.1], [337.4, 338.8], [118.2, 118.1], [884.6, 888.0], [10.1, 9.2], [226.5, 228.1], [666.3, 668.5],
  [996.3, 998.5], [448.6, 449.1], [777.0, 778.9], [558.2, 559.2], [0.4, 0.3], [0.6, 0.1], [775.5, 778.1],
  [666.9, 668.8], [338.0, 339.3], [447.5, 448.9], [11.6, 10.8], [556.0, 557.7], [228.1, 228.3], [995.8, 998.0],
  [887.6, 888.8], [120.2, 119.6], [0.3, 0.3], [0.3, 0.6], [556.8, 557.6], [339.1, 339.3], [887.2, 888.0],
  [999.0, 998.5], [779.0, 778.9], [11.1, 10.2], [118.3, 117.6], [229.2, 228.9], [669.1, 668.4], [448.9, 449.2],
  [0.5, 0.2],
];

describe('Norris (linear regression)', () => {
  const line = ordinaryLine(
    NORRIS.map(([x]) => x),
    NORRIS.map(([, y]) => y),
  );

  test('coefficients, their standard deviations, residual standard deviation', () => {
    expect(digits(line?.intercept, -0.262323073774029)).toBeGreaterThan(12);
    expect(digits(line?.slope, 1.00211681802045)).toBeGreaterThan(13);
    expect(digits(line?.uIntercept, 0.232818234301152)).toBeGreaterThan(12);
    expect(digits(line?.uSlope, 0.000429796848199937)).toBeGreaterThan(12);
    expect(digits(Math.sqrt((line?.chiSquare ?? 0) / 34), 0.884796396144373)).toBeGreaterThan(12);
    expect(line?.dof).toBe(34);
  });

  test('covariance of the coefficients, as other libraries print it', () => {
    expect(digits(line?.covariance, -7.7432753633957e-5)).toBeGreaterThan(9);
  });

  test('the same line from a general-purpose library (simple-statistics)', () => {
    const { m, b } = simpleStatistics.linearRegression(NORRIS);
    expect(digits(line?.slope, m)).toBeGreaterThan(11);
    expect(digits(line?.intercept, b)).toBeGreaterThan(9);
  });

  test('a large offset costs no digits: centred first', () => {
    const far = ordinaryLine(
      NORRIS.map(([x]) => x + 1e8),
      NORRIS.map(([, y]) => y + 1e8),
    );
    expect(digits(far?.slope, 1.00211681802045)).toBeGreaterThan(8);
  });
});

test('NoInt1 (line through the origin)', () => {
  const x = Array.from({ length: 11 }, (_, index) => 60 + index);
  const line = originLine(
    x,
    x.map((value) => value + 70),
  );
  expect(digits(line.slope, 2.07438016528926)).toBeGreaterThan(13);
  expect(digits(line.uSlope, 0.0165289256198347)).toBeGreaterThan(12);
  expect(digits(Math.sqrt(line.chiSquare / line.dof), 3.56753034006338)).toBeGreaterThan(12);
  expect(digits(line.chiSquare, 127.272727272727)).toBeGreaterThan(12);
});

// biome-ignore format: tables of the source, last two digits of 299.xx and last of 2.00xx
const MICHELSO = [
  299.85, 299.74, 299.9, 300.07, 299.93, 299.85, 299.95, 299.98, 299.98, 299.88, 300.0, 299.98, 299.93, 299.65,
  299.76, 299.81, 300.0, 300.0, 299.96, 299.96, 299.96, 299.94, 299.96, 299.94, 299.88, 299.8, 299.85, 299.88,
  299.9, 299.84, 299.83, 299.79, 299.81, 299.88, 299.88, 299.83, 299.8, 299.79, 299.76, 299.8, 299.88, 299.88,
  299.88, 299.86, 299.72, 299.72, 299.62, 299.86, 299.97, 299.95, 299.88, 299.91, 299.85, 299.87, 299.84, 299.84,
  299.85, 299.84, 299.84, 299.84, 299.89, 299.81, 299.81, 299.82, 299.8, 299.77, 299.76, 299.74, 299.75, 299.76,
  299.91, 299.92, 299.89, 299.86, 299.88, 299.72, 299.84, 299.85, 299.85, 299.78, 299.89, 299.84, 299.78, 299.81,
  299.76, 299.81, 299.79, 299.81, 299.82, 299.85, 299.87, 299.87, 299.81, 299.74, 299.81, 299.94, 299.95, 299.8,
  299.81, 299.87,
];
// biome-ignore format: a table of the source
const MAVRO = [
  2.0018, 2.0017, 2.0018, 2.0019, 2.0018, 2.0017, 2.0015, 2.0014, 2.0015, 2.0015, 2.0017, 2.0018, 2.0018, 2.0019,
  2.0019, 2.0021, 2.002, 2.0016, 2.0014, 2.0013, 2.0013, 2.0015, 2.0015, 2.0016, 2.0015, 2.0014, 2.0013, 2.0014,
  2.0015, 2.0014, 2.0015, 2.0016, 2.0015, 2.0016, 2.0019, 2.002, 2.002, 2.0021, 2.0022, 2.0023, 2.0024, 2.0025,
  2.0027, 2.0026, 2.0026, 2.0026, 2.0027, 2.0026, 2.0025, 2.0024,
];
const NUM_ACC_4 = [
  10000000.2,
  ...Array.from({ length: 1000 }, (_, index) => (index % 2 === 0 ? 10000000.1 : 10000000.3)),
];

// NumAcc4's numbers are themselves rounded to doubles: 8 digits of the standard deviation are all there is
test.each([
  { name: 'Michelso', data: MICHELSO, mean: 299.8524, sd: 0.0790105478190518, n: 100, agree: 12 },
  { name: 'Mavro', data: MAVRO, mean: 2.001856, sd: 0.000429123454003053, n: 50, agree: 12 },
  {
    name: 'NumAcc1 (order from memory)',
    data: [10000001, 10000003, 10000002],
    mean: 10000002,
    sd: 1,
    n: 3,
    agree: 15,
  },
  { name: 'NumAcc4', data: NUM_ACC_4, mean: 10000000.2, sd: 0.1, n: 1001, agree: 8 },
])('$name (mean and standard deviation)', ({ data, mean, sd, n, agree }) => {
  const found = plainMean(data);
  expect(found.n).toBe(n);
  expect(digits(found.mean, mean)).toBeGreaterThanOrEqual(14);
  expect(digits(found.standardDeviation ?? undefined, sd)).toBeGreaterThan(agree);
  // the same from a general-purpose library
  expect(
    digits(found.standardDeviation ?? undefined, simpleStatistics.sampleStandardDeviation(data)),
  ).toBeGreaterThan(7);
});
