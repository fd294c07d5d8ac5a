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
    // the average holds some end correction of either sign and size, so it is near the ratio and not on it
    expect(Math.abs(resultOf(outcome).value - 1.1954)).toBeLessThan(0.05 * resultOf(outcome).U);
    expect(outcome.byTheBook?.mean).toBeCloseTo(1.1954, 12);
    expect(outcome.byTheBook?.standardDeviation).toBeCloseTo(0, 12);
    expect(codes(outcome)).toEqual([]);
  });

  test('a bench that is exact and says so: the exact ratio', () => {
    const exact = (set: ComparisonSet) => ({
      ...set,
      l1: readByEye(set.l1.lengthCm, 1e-6),
      l2: readByEye(set.l2.lengthCm, 1e-6),
    });
    const bench = { ...BENCH, thermalEmfUv: 0, endCorrection: { valueCm: 0, standardUncertaintyCm: 0 } };
    const result = resultOf(compare(setsOf(1.1954, 0, LENGTHS).map(exact), bench));
    expect(result.value).toBeCloseTo(1.1954, 8);
    expect(result.singleModel.value).toBeCloseTo(1.1954, 12);
    expect(result.U).toBeLessThan(1e-7);
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
    expect(Math.abs(resultOf(outcome).value - 1.1954)).toBeLessThan(resultOf(outcome).U);
    // most probably it is as stated; then the ratio is exact
    expect(resultOf(outcome).singleModel.value).toBeCloseTo(1.1954, 12);
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
    const withoutStrips = resultOf(compare(setsOf(1.1954, 0, LENGTHS))).value;
    expect(compare(sets, { ...BENCH, turnCorrectionCm: turn }).result?.value).toBeCloseTo(withoutStrips, 11);
    expect(compare(sets).result?.value).not.toBeCloseTo(withoutStrips, 5);
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
  const scopeOf = ({ constants, budget }: typeof result): Record<string, number> => ({
    ...constants,
    ...Object.fromEntries(budget.map((row) => [row.symbol, row.estimate])),
  });

  test('its text with the budget’s estimates and the weights gives the value of the most probable model', () => {
    expect(formulas.compile(result.formula).value(scopeOf(result))).toBe(result.singleModel.value);
    expect(result.singleModel.probability).toBeGreaterThan(0);
    expect(result.singleModel.probability).toBeLessThanOrEqual(1);
    expect(Math.abs(result.singleModel.value - result.value)).toBeLessThan(result.U);
  });

  test('weights have four decimals, so that it can be worked by hand', () => {
    for (const weight of Object.values(result.constants))
      expect(weight * 1e4).toBeCloseTo(Math.round(weight * 1e4), 9);
  });

  test('with one set all models share the formula, and sensitivities are its slopes', () => {
    const one = resultOf(compare(setsOf(1.1954, 0.4, [800])));
    const formula = formulas.compile(one.formula);
    for (const symbol of ['l_1_1', 'l_2_1', 'alpha']) {
      const row = one.budget.find((candidate) => candidate.symbol === symbol);
      const step = 1e-4;
      const at = (shift: number) =>
        formula.value({ ...scopeOf(one), [symbol]: (row?.estimate ?? 0) + shift });
      const slope = Math.abs(at(step) - at(-step)) / (2 * step);
      // models in which a length was misread hold some of the average, and leave the others' variance as it is
      if (symbol !== 'alpha') expect((row?.sensitivity ?? 0) / slope).toBeCloseTo(1, 1);
      // the end correction has wider priors beside the most probable one: its row is averaged over them
      else expect((row?.sensitivity ?? 0) / slope).toBeGreaterThan(1);
    }
  });

  test('contributions add up in squares to u, and U is k times it', () => {
    const sum = result.budget.reduce((total, row) => total + row.contribution ** 2, 0);
    expect(Math.sqrt(sum)).toBeCloseTo(result.u, 15);
    expect(result.k * result.u).toBeCloseTo(result.U, 15);
    expect(result).toMatchObject({ dof: null, intervalBy: 'model-average', model: 2 });
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
    const lagRows = (some: readonly ComparisonSet[]) =>
      resultOf(compare(some)).budget.filter((row) => row.symbol === 'd_lag');
    expect(lagRows(sets)).toHaveLength(1);
    expect(lagRows(sets)[0]).toMatchObject({ standardUncertainty: 0.05, assumed: false });
    // the same shift of both lengths acts like the end correction: (q - 1)/l2 for each cm
    const [{ contribution }] = lagRows(sets.slice(0, 1));
    expect(contribution / ((0.05 * 0.1954) / 800)).toBeCloseTo(1, 1);
  });

  test('thermal EMFs count for more at a smaller driver current, and are named as absent without one', () => {
    const [set] = setsOf(1.1954, 0, [700]);
    const thermal = (driverMa: number | null) =>
      compare([{ ...set, driverMa }]).result?.budget.find((row) => row.symbol === 'd_thermal')?.contribution;
    // the larger effect at 50 mA leaves the end correction a little more freely estimated
    expect((thermal(50) ?? 0) / (thermal(100) ?? 1)).toBeCloseTo(2, 2);
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
    const told = outcome.faults.find(({ code }) => code === 'set-outlying');
    expect(told?.text).toContain('Set 2 ');
    const result = resultOf(outcome);
    expect(result.u).toBeGreaterThan(1.05 * quiet.u);
    expect(Math.abs(result.value - 1.1954)).toBeLessThan(result.U);
    // the disturbed set weighs next to nothing, where the plain mean holds a quarter of it
    const plain = Math.abs((outcome.byTheBook?.mean ?? 0) - 1.1954);
    expect(Math.abs(result.value - 1.1954)).toBeLessThan(0.2 * plain);
  });

  test('a bench file that is wrong about the end correction is overruled by precise sets', () => {
    const stated = { valueCm: 0, standardUncertaintyCm: 0.5 };
    const sets = setsOf(1.1954, 8, [800, 700, 600, 500, 400]);
    const outcome = compare(sets, { ...BENCH, endCorrection: stated });
    expect(outcome.faults.find(({ code }) => code === 'bench-file-contradicted')?.text).toContain(
      'contradicts',
    );
    expect(codes(compare(setsOf(1.1954, 0.6, [800, 700, 600, 500, 400])))).not.toContain(
      'bench-file-contradicted',
    );
    expect(Math.abs(resultOf(outcome).value - 1.1954)).toBeLessThan(resultOf(outcome).U);
    expect(Math.abs((outcome.endCorrectionCm?.value ?? 0) - 8)).toBeLessThan(1.5);
  });

  test('few repeats count for less than many: U grows, and the check by Monte Carlo stands beside it', () => {
    const [set] = setsOf(1.1954, 0, [800]);
    const bench = { ...BENCH, endCorrection: { valueCm: 0, standardUncertaintyCm: 0.1 } };
    const repeats = (ownDof: number) => {
      const own = (length: ReturnType<typeof sensed>) => ({ ...length, uOwnCm: 0.2, ownDof });
      return compareEmfs([{ ...set, l1: own(set.l1), l2: own(set.l2) }], bench, { formulas, seed: 3 });
    };
    const [few, many] = [repeats(2), repeats(Number.POSITIVE_INFINITY)];
    expect(resultOf(few).U).toBeGreaterThan(1.05 * resultOf(many).U);
    expect(few.check?.trials).toBeGreaterThanOrEqual(20_000);
    expect(few.check?.agrees).toBe(true);
    expect((few.check?.low ?? 2) < 1.1954 && (few.check?.high ?? 0) > 1.1954).toBe(true);
  });
});
