import { describe, expect, test } from 'vitest';
import type { ComparisonSet } from '../../bridge/calc-core/balancing-length.ts';
import { compareEmfs } from '../../bridge/calc-core/comparison.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import type { ComparisonOutcome } from '../../bridge/calc-core/outcome.ts';
import { BENCH, readByEye, sensed, setsOf } from './lengths.ts';

const formulas = await loadFormulas();
const LENGTHS = [800, 720, 640, 560];
const compare = (sets: readonly ComparisonSet[], bench = BENCH) => compareEmfs(sets, bench, { formulas });
const codes = (outcome: ComparisonOutcome) => outcome.faults.map((fault) => fault.code);
const resultOf = (outcome: ComparisonOutcome) => outcome.result as NonNullable<ComparisonOutcome['result']>;

describe('E1/E2 from several sets', () => {
  test('without noise and end correction the ratio comes back, and so does the plain mean', () => {
    const outcome = compare(setsOf(1.1954, 0, LENGTHS));
    expect(outcome.result?.value).toBeCloseTo(1.1954, 12);
    expect(outcome.byTheBook?.mean).toBeCloseTo(1.1954, 12);
    expect(outcome.byTheBook?.standardDeviation).toBeCloseTo(0, 12);
    expect(codes(outcome)).toEqual([]);
  });

  test('an end correction biases the plain mean; precise lengths show it, and the bias goes', () => {
    const eye = (set: ComparisonSet) => ({
      ...set,
      l1: readByEye(set.l1.lengthCm, 0.001),
      l2: readByEye(set.l2.lengthCm, 0.001),
    });
    const outcome = compare(setsOf(1.1954, 2, LENGTHS).map(eye), { ...BENCH, thermalEmfUv: 0 });
    expect(outcome.result?.value).toBeCloseTo(1.1954, 5);
    expect(outcome.endCorrectionCm?.value).toBeCloseTo(2, 2);
    expect((outcome.byTheBook?.mean ?? 0) - 1.1954).toBeGreaterThan(0.0004);
    expect(codes(outcome)).toContain('end-correction-significant');
  });

  test('a known end correction is put in: one set is enough', () => {
    const bench = { ...BENCH, endCorrection: { valueCm: 2, standardUncertaintyCm: 0.1 } };
    const outcome = compare(setsOf(1.1954, 2, [800]), bench);
    expect(outcome.result?.value).toBeCloseTo(1.1954, 12);
    expect(codes(outcome)).toContain('too-few-sets');
    expect(outcome.result?.formula).toBe('(l_1_1 + alpha)/(l_2_1 + alpha)');
  });

  test('strips that join the rows are counted in', () => {
    const turn = { valueCm: 0.5, standardUncertaintyCm: 0 };
    const strips = (length: ReturnType<typeof sensed>) => ({
      ...length,
      lengthCm: length.lengthCm - 0.5 * ((length.row ?? 1) - 1),
    });
    const sets = setsOf(1.1954, 0, LENGTHS).map((set) => ({
      ...set,
      l1: strips(set.l1),
      l2: strips(set.l2),
    }));
    expect(compare(sets, { ...BENCH, turnCorrectionCm: turn }).result?.value).toBeCloseTo(1.1954, 12);
    expect(compare(sets).result?.value).not.toBeCloseTo(1.1954, 5);
  });

  test('exchanging the cells gives the reciprocal', () => {
    const sets = setsOf(1.1954, 0.7, LENGTHS).map((set, index) => ({
      ...set,
      l1: sensed(set.l1.lengthCm + [0.02, -0.01, 0.015, -0.02][index]),
    }));
    const swapped = sets.map((set) => ({ ...set, l1: set.l2, l2: set.l1 }));
    const product = resultOf(compare(sets)).value * resultOf(compare(swapped)).value;
    // the weights are rounded to four decimals, which moves the estimate far less than its uncertainty
    expect(Math.abs(product - 1)).toBeLessThan(0.02 * resultOf(compare(sets)).u);
  });
});

describe('the formula is the one computed with', () => {
  const outcome = compare(setsOf(1.1954, 0.4, LENGTHS));
  const result = resultOf(outcome);
  const scope = {
    ...result.constants,
    ...Object.fromEntries(result.budget.map((row) => [row.symbol, row.estimate])),
  };

  test('its text with the budget’s estimates and the weights gives the value', () => {
    expect(formulas.compile(result.formula).value(scope)).toBe(result.value);
  });

  test('weights have four decimals, so that it can be worked by hand', () => {
    for (const weight of Object.values(result.constants))
      expect(weight * 1e4).toBeCloseTo(Math.round(weight * 1e4), 9);
  });

  test('sensitivities are the slopes of that formula', () => {
    const formula = formulas.compile(result.formula);
    for (const row of result.budget.filter(({ symbol }) => symbol === 'alpha' || symbol.startsWith('l_'))) {
      const step = 1e-4;
      const at = (shift: number) => formula.value({ ...scope, [row.symbol]: row.estimate + shift });
      expect(row.sensitivity).toBeCloseTo((at(step) - at(-step)) / (2 * step), 9);
    }
  });

  test('contributions add up in squares to u, and U is k times it', () => {
    const sum = result.budget.reduce((total, row) => total + row.contribution ** 2, 0);
    expect(Math.sqrt(sum)).toBeCloseTo(result.u, 15);
    expect(result.U).toBe(result.k * result.u);
    expect(JSON.parse(JSON.stringify(outcome))).toEqual(outcome);
  });
});

describe('errors that lengths share', () => {
  test('cells at one place of the scale, same sense: the sensor’s error largely drops out of the ratio near 1', () => {
    const near = { ...setsOf(1, 0, [750])[0], l1: sensed(750.5), l2: sensed(750) };
    const apart = { ...near, l2: sensed(710) };
    // the same place of the scale, on rows that run opposite ways
    const opposite = { ...near, l1: sensed(749), l2: sensed(651) };
    const u = (set: ComparisonSet) => compare([set]).sets[0].uRatio;
    expect(u(near)).toBeLessThan(0.3 * u(apart));
    expect(opposite.l1.sensorScaleCm).toBe(opposite.l2.sensorScaleCm);
    expect(u(opposite)).toBeGreaterThan(u(apart));
  });

  test('an effect named by several lengths is one row of the budget', () => {
    const lag = (length: ReturnType<typeof sensed>) => ({ ...length, common: { lag: 0.05 } });
    const sets = setsOf(1.1954, 0, LENGTHS).map((set) => ({ ...set, l1: lag(set.l1), l2: lag(set.l2) }));
    const rows = resultOf(compare(sets)).budget.filter((row) => row.symbol === 'd_lag');
    expect(rows).toHaveLength(1);
    // the same shift of both lengths acts like the end correction: (1 - q) Σw / Σw·l
    const { constants, value } = resultOf(compare(sets));
    const weights = Object.values(constants);
    const whole = weights.reduce((sum, weight) => sum + weight, 0);
    const lengths = weights.reduce((sum, weight, index) => sum + weight * LENGTHS[index], 0);
    expect(rows[0].sensitivity).toBeCloseTo(((1 - value) * whole) / lengths, 9);
  });

  test('thermal EMFs count for more at a smaller driver current, and are named as absent without one', () => {
    const [set] = setsOf(1.1954, 0, [700]);
    const thermal = (driverMa: number | null) =>
      compare([{ ...set, driverMa }]).result?.budget.find((row) => row.symbol === 'd_thermal')?.contribution;
    expect(thermal(50)).toBeCloseTo(2 * (thermal(100) ?? 0), 12);
    expect(thermal(null)).toBeUndefined();
    expect(codes(compare([{ ...set, driverMa: null }]))).toContain('budget-row-absent');
  });

  test('rows of the budget that nobody stated are named', () => {
    const bare = { ...BENCH, uniformityRelative: null, turnCorrectionCm: null, position: null };
    const texts = compare(setsOf(1.1954, 0, LENGTHS), bare).faults.map((fault) => fault.text);
    expect(texts).toHaveLength(3);
    for (const path of ['wire.uniformityRelative', 'wire.turnCorrectionCm', 'position.standardUncertaintyCm'])
      expect(texts.some((text) => text.includes(path))).toBe(true);
  });
});

describe('what the sets contradict', () => {
  test('a disturbed set widens the result, and a finding names it', () => {
    const sets = setsOf(1.1954, 0, LENGTHS);
    const quiet = resultOf(compare(sets));
    const outcome = compare(
      sets.map((set, index) => (index === 1 ? { ...set, l1: sensed(set.l1.lengthCm + 1) } : set)),
    );
    expect(codes(outcome)).toContain('ratios-scatter');
    const result = resultOf(outcome);
    expect(result.u).toBeGreaterThan(3 * quiet.u);
    // the scatter of four sets about a line leaves two degrees of freedom, the end correction's prior adds to them
    expect(result.dof).toBeLessThan(10);
    expect(Math.abs(result.value - 1.1954)).toBeLessThan(result.U);
  });

  test('a bench file that is wrong about the end correction is overruled by precise sets', () => {
    const outcome = compare(setsOf(1.1954, 8, [800, 700, 600, 500, 400]));
    expect(outcome.faults.find(({ code }) => code === 'end-correction-significant')?.text).toContain(
      'contradicts',
    );
    expect(Math.abs(resultOf(outcome).value - 1.1954)).toBeLessThan(resultOf(outcome).U);
    expect(Math.abs((outcome.endCorrectionCm?.value ?? 0) - 8)).toBeLessThan(1.5);
  });

  test('few repeats make few degrees of freedom: the factor grows, and the check by Monte Carlo stands beside it', () => {
    const few = (length: ReturnType<typeof sensed>) => ({ ...length, uOwnCm: 0.2, ownDof: 2 });
    const [set] = setsOf(1.1954, 0, [800]);
    const bench = { ...BENCH, endCorrection: { valueCm: 0, standardUncertaintyCm: 0.1 } };
    const outcome = compareEmfs([{ ...set, l1: few(set.l1), l2: few(set.l2) }], bench, { formulas, seed: 3 });
    // two lengths of two degrees of freedom each, weighted 1 and 1.1954: 2 (1 + q²)²/(1 + q⁴)
    expect(outcome.result?.dof).toBeCloseTo((2 * (1 + 1.1954 ** 2) ** 2) / (1 + 1.1954 ** 4), 0);
    expect(outcome.result?.k).toBeGreaterThan(2.5);
    expect(outcome.check?.trials).toBeGreaterThanOrEqual(20_000);
    expect((outcome.check?.low ?? 2) < 1.1954 && (outcome.check?.high ?? 0) > 1.1954).toBe(true);
  });
});
