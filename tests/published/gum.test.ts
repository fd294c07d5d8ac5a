import { describe, expect, test } from 'vitest';
import { columnAt, columnsOf, type Effect } from '../../bridge/calc-core/effects.ts';
import { type Formulas, loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { ordinaryLine } from '../../bridge/calc-core/line-fit.ts';
import { message } from '../../bridge/calc-core/messages.ts';
import { plainMean } from '../../bridge/calc-core/plain-mean.ts';
import { type MeasurementModel, propagate } from '../../bridge/calc-core/propagate.ts';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import { coverageFactor } from '../../bridge/calc-core/student.ts';
import { combine, effectiveDof } from '../../bridge/calc-core/welch-satterthwaite.ts';

/** JCGM 100:2008, Guide to the expression of uncertainty in measurement (GUM), annex H and clause 7. */

const formulas: Formulas = await loadFormulas();

describe('GUM H.1, end-gauge calibration', () => {
  // Inputs at the level of H.1 (estimates and limits from memory of the text; contributions and degrees of freedom are
  // those of the published budget: 25, 9.7, 0, 0, 2.9, 16.6 nm with 18, 25.6, 50, 2).
  const inputs = [
    { symbol: 'l_s', estimate: 50_000_623, u: 25, dof: 18 },
    { symbol: 'd', estimate: 215, u: 9.7, dof: 25.6 },
    { symbol: 'alpha_s', estimate: 11.5e-6, u: 1.2e-6, dof: Number.POSITIVE_INFINITY },
    { symbol: 'theta', estimate: -0.1, u: 0.41, dof: Number.POSITIVE_INFINITY },
    { symbol: 'd_alpha', estimate: 0, u: 1e-6 / Math.sqrt(3), dof: 50 },
    { symbol: 'd_theta', estimate: 0, u: 0.05 / Math.sqrt(3), dof: 2 },
  ];
  const model: MeasurementModel = {
    formula: formulas.compile('l_s + d - l_s*(d_alpha*theta + alpha_s*d_theta)'),
    inputs,
    constants: {},
    effects: inputs.map(({ symbol, estimate, u, dof }, index): Effect => {
      const columns = [columnAt(inputs.length, index, u)];
      const text = { symbol, meaning: message('row-common', { name: symbol }), unit: 'nm' };
      return { ...text, estimate, standardUncertainty: u, distribution: 'normal', dof, columns };
    }),
  };
  const outcome = propagate(model);

  test('length, contributions and combined standard uncertainty', () => {
    expect(outcome.value).toBe(50_000_838);
    const published = [25, 9.7, 0, 0, 2.9, 16.6];
    outcome.budget.forEach((row, index) => {
      expect(row.contribution).toBeCloseTo(published[index], 1);
    });
    expect(Math.round(outcome.u)).toBe(32);
    expect(outcome.u).toBeCloseTo(31.67, 1);
  });

  test('effective degrees of freedom and expanded uncertainty', () => {
    // published 16.7, cut to 16 before the table is read (16.7 from memory; 16 verified)
    expect(Math.floor(outcome.dof)).toBe(16);
    expect(Math.abs(outcome.dof - 16.7)).toBeLessThan(0.1);
    const k = coverageFactor(0.99, 16);
    expect(k).toBeCloseTo(2.92, 2);
    // the GUM multiplies the rounded 32 nm: 93 nm; unrounded it is 92.5 nm
    expect(roundTogether(outcome.value, k * 32)).toMatchObject({
      value: '50000838',
      uncertainty: '93',
    });
  });

  test('degrees of freedom of the comparator d, from its parts', () => {
    const parts = [
      { contribution: 5.8, dof: 24 },
      { contribution: 3.9, dof: 5 },
      { contribution: 6.7, dof: 8 },
    ];
    expect(combine(parts)).toBeCloseTo(9.7, 1);
    // the GUM puts the rounded 9.7 into the formula
    expect(effectiveDof(parts) * (9.7 / combine(parts)) ** 4).toBeCloseTo(25.6, 1);
  });
});

describe('GUM H.2, resistance and reactance from correlated observations', () => {
  const V = [5.007, 4.994, 5.005, 4.99, 4.999];
  const I = [19.663, 19.639, 19.64, 19.685, 19.678].map((mA) => mA / 1000);
  const phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
  const series = [V, I, phi];
  const means = series.map((values) => plainMean(values).mean);
  const covariance = series.map((a, i) =>
    series.map((b, j) => {
      const products = a.map((value, index) => (value - means[i]) * (b[index] - means[j]));
      return products.reduce((sum, product) => sum + product, 0) / (5 * 4);
    }),
  );
  const outcome = (text: string) =>
    propagate({
      formula: formulas.compile(text),
      inputs: ['V', 'I', 'phi'].map((symbol, index) => ({ symbol, estimate: means[index] })),
      constants: {},
      effects: [
        {
          symbol: 'V, I, phi',
          meaning: message('row-common', { name: 'simultaneous observations' }),
          estimate: 0,
          unit: '1',
          standardUncertainty: 1,
          distribution: 't',
          dof: 4,
          columns: columnsOf(covariance) ?? [],
        },
      ],
    });
  const R = 'V*cos(phi)/I';
  const X = 'V*sin(phi)/I';
  const Z = 'V/I';
  const correlation = (a: string, b: string) => {
    const [ua, ub, both] = [a, b, `${a} + ${b}`].map((text) => outcome(text).u);
    return (both ** 2 - ua ** 2 - ub ** 2) / (2 * ua * ub);
  };

  test.each([
    { name: 'R', text: R, value: 127.732, u: 0.071 },
    { name: 'X', text: X, value: 219.847, u: 0.295 },
    { name: 'Z', text: Z, value: 254.26, u: 0.236 },
  ])('$name and its uncertainty, as published', ({ text, value, u }) => {
    const found = outcome(text);
    expect(found.value).toBeCloseTo(value, 3);
    // the GUM's u(X) = 0.295 was worked with rounded correlations; unrounded it is 0.2956
    expect(Math.abs(found.u - u)).toBeLessThan(0.0007);
  });

  test('to the digits recomputed from the data at 40 digits', () => {
    expect(outcome(R).u).toBeCloseTo(0.07107141, 8);
    expect(outcome(X).u).toBeCloseTo(0.29558168, 8);
    expect(outcome(Z).u).toBeCloseTo(0.23633613, 8);
  });

  test('correlations of the results, as published', () => {
    expect(correlation(R, X)).toBeCloseTo(-0.588, 3);
    expect(correlation(R, Z)).toBeCloseTo(-0.485, 3);
    expect(correlation(X, Z)).toBeCloseTo(0.993, 3);
  });
});

describe('GUM H.3, calibration curve of a thermometer', () => {
  const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
  const line = ordinaryLine(
    t.map((value) => value - 20),
    b,
  );

  test('intercept, slope, their uncertainties and correlation', () => {
    expect(line?.intercept).toBeCloseTo(-0.1712, 4);
    expect(line?.uIntercept).toBeCloseTo(0.0029, 4);
    expect(line?.slope).toBeCloseTo(0.00218, 5);
    expect(line?.uSlope).toBeCloseTo(0.00067, 5);
    expect((line?.covariance ?? 0) / ((line?.uIntercept ?? 0) * (line?.uSlope ?? 0))).toBeCloseTo(-0.93, 2);
    expect(Math.sqrt((line?.chiSquare ?? 0) / 9)).toBeCloseTo(0.0035, 4);
    expect(line?.dof).toBe(9);
  });

  test('prediction at 30 degrees', () => {
    const { intercept, slope, uIntercept, uSlope, covariance } = line as NonNullable<typeof line>;
    expect(intercept + 10 * slope).toBeCloseTo(-0.1494, 4);
    const u = Math.sqrt(uIntercept ** 2 + 100 * uSlope ** 2 + 20 * covariance);
    expect(u).toBeCloseTo(0.0041, 4);
  });
});

describe('GUM 7.2.6, rounding (its examples from memory)', () => {
  test.each([
    { value: 10.05762, u: 0.027, expected: ['10.058', '0.027'] },
    { value: 0, u: 10.47, expected: ['0', '11'] },
    { value: 0, u: 28.05, expected: ['0', '28'] },
  ])('$value with $u', ({ value, u, expected }) => {
    const rounded = roundTogether(value, u);
    expect([rounded.value, rounded.uncertainty]).toEqual(expected);
  });
});
