import { describe, expect, test } from 'vitest';
import type { LoadSet } from '../../bridge/calc-core/balancing-length.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { internalResistance } from '../../bridge/calc-core/internal-resistance.ts';
import { BENCH, sensed } from './lengths.ts';

const formulas = await loadFormulas();
const R_OHM = 0.85;
const OPEN = sensed(940);
const LOADS = [2, 5, 10, 20];

/** One open length for all loads of a set, as the fold gives them. */
const oneOpen = (alphaCm = 0): LoadSet[] =>
  LOADS.map((loadOhm) => ({
    set: 1,
    driverMa: 84,
    loadOhm,
    uLoadOhm: 0.001 * loadOhm,
    l0: OPEN,
    l: sensed(((940 + alphaCm) * loadOhm) / (loadOhm + R_OHM) - alphaCm),
  }));
const openEach = (): LoadSet[] =>
  oneOpen().map((set, index) => ({ ...set, set: index + 1, l0: sensed(940) }));
const run = (sets: LoadSet[], bench = BENCH) => internalResistance(sets, bench, { formulas });

describe('internal resistance', () => {
  test('without noise every set, their mean and the fit give r', () => {
    const outcome = run(openEach());
    for (const { rOhm } of outcome.sets) expect(rOhm).toBeCloseTo(R_OHM, 10);
    expect(outcome.byTheBook?.mean).toBeCloseTo(R_OHM, 10);
    expect(outcome.result?.singleModel.value).toBeCloseTo(R_OHM, 9);
    expect(Math.abs((outcome.result?.value ?? 9) - R_OHM)).toBeLessThan(0.05 * (outcome.result?.U ?? 0));
    expect(outcome.result).toMatchObject({ quantity: 'r', unit: 'ohm' });
  });

  test('the test line has the slope r and goes through the origin', () => {
    const { line } = run(openEach());
    expect(line?.slopeOhm).toBeCloseTo(R_OHM, 10);
    expect(Math.abs(line?.intercept ?? 1)).toBeLessThan(1e-10);
    expect(line?.points.map(({ perOhm }) => perOhm)).toEqual(LOADS.map((ohm) => 1 / ohm));
  });

  test('a known end correction is put in', () => {
    const bench = { ...BENCH, endCorrection: { valueCm: 3, standardUncertaintyCm: 0.1 } };
    const outcome = run(oneOpen(3), bench);
    expect(outcome.result?.singleModel.value).toBeCloseTo(R_OHM, 9);
    expect(Math.abs((outcome.result?.value ?? 9) - R_OHM)).toBeLessThan(outcome.result?.U ?? 0);
    expect(outcome.byTheBook?.mean).toBeGreaterThan(R_OHM + 0.001);
  });

  test('one open length for several loads is one input with one row in the budget', () => {
    const shared = run(oneOpen());
    const symbols = shared.result?.budget.map(({ symbol }) => symbol);
    expect(symbols?.filter((symbol) => symbol.startsWith('l0'))).toEqual(['l0_1']);
    expect(symbols).toEqual(expect.arrayContaining(['l_1_1', 'l_1_4', 'R_1', 'R_4', 'alpha']));
  });

  test('the formula with the budget’s estimates gives the most probable model, with shared inputs too', () => {
    for (const sets of [oneOpen(), openEach(), oneOpen().slice(0, 1)]) {
      const result = run(sets).result as NonNullable<ReturnType<typeof run>['result']>;
      const estimates = Object.fromEntries(result.budget.map((row) => [row.symbol, row.estimate]));
      expect(formulas.compile(result.formula).value({ ...result.constants, ...estimates })).toBe(
        result.singleModel.value,
      );
    }
  });

  test('the same load in several sets is one resistor', () => {
    const twice = openEach().map((set) => ({
      ...set,
      loadOhm: 5,
      uLoadOhm: 0.05,
      l: sensed((940 * 5) / 5.85),
    }));
    const outcome = run(twice);
    const row = outcome.result?.budget.find(({ symbol }) => symbol === 'R_1');
    // r is proportional to R: an error of 1 % in R is 1 % in r however often it is used
    expect((row?.contribution ?? 0) / (0.01 * R_OHM)).toBeCloseTo(1, 2);
    expect(outcome.faults.map(({ code }) => code)).toContain('too-few-sets');
    expect(outcome.line).toBeNull();
  });

  test('a load of unstated uncertainty is named', () => {
    const texts = run(openEach().map((set) => ({ ...set, uLoadOhm: null }))).faults.map(({ text }) => text);
    expect(texts.some((text) => text.includes('load resistance'))).toBe(true);
  });

  test('a cell that runs down shows as a drift of l0, at a steady or at a changing driver current', () => {
    const down = openEach().map((set, index) => {
      const emf = 1 - 0.002 * index;
      const driverMa = 84 + index;
      return { ...set, driverMa, l0: sensed((940 * emf * 84) / driverMa) };
    });
    const found = run(down).polarisation;
    expect(found?.perSet).toBeCloseTo(-0.002, 6);
    expect(found?.uPerSet).toBeLessThan(0.0002);
    expect(run(openEach()).polarisation?.perSet).toBeCloseTo(0, 9);
    expect(run(openEach().map((set) => ({ ...set, driverMa: null }))).polarisation).toBeNull();
  });
});
