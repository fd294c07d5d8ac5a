import { describe, expect, test } from 'vitest';
import { columnAt, type Effect } from '../../bridge/calc-core/effects.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { message } from '../../bridge/calc-core/messages.ts';
import { monteCarlo, numericalTolerance } from '../../bridge/calc-core/monte-carlo.ts';
import type { Distribution } from '../../bridge/calc-core/outcome.ts';
import type { MeasurementModel } from '../../bridge/calc-core/propagate.ts';
import { modelTrials } from './model-trials.ts';

/** JCGM 101:2008, clause 9.2, Y = X1 + X2 + X3 + X4 (figures from memory, recomputed). */

const formulas = await loadFormulas();

function additive(distribution: Distribution, uncertainties: number[]): MeasurementModel {
  const symbols = uncertainties.map((_, index) => `X_${index + 1}`);
  return {
    formula: formulas.compile(symbols.join(' + ')),
    inputs: symbols.map((symbol) => ({ symbol, estimate: 0 })),
    constants: {},
    effects: uncertainties.map((u, index): Effect => {
      const columns = [columnAt(4, index, u)];
      const text = {
        symbol: symbols[index],
        meaning: message('row-common', { name: symbols[index] }),
        unit: '1',
        estimate: 0,
      };
      return { ...text, standardUncertainty: u, distribution, dof: Number.POSITIVE_INFINITY, columns };
    }),
  };
}

describe('JCGM 101, 9.2', () => {
  test('9.2.2, normal inputs: u = 2.0, interval ±3.92', () => {
    const found = monteCarlo(modelTrials(additive('normal', [1, 1, 1, 1]), 1), 0.95);
    expect(found.standardDeviation).toBeCloseTo(2, 1);
    expect(Math.abs(found.low + 3.92)).toBeLessThan(found.tolerance);
    expect(Math.abs(found.high - 3.92)).toBeLessThan(found.tolerance);
  });

  test('9.2.3, rectangular inputs of one width: interval ±3.88', () => {
    const found = monteCarlo(modelTrials(additive('rectangular', [1, 1, 1, 1]), 2), 0.95);
    expect(found.standardDeviation).toBeCloseTo(2, 1);
    expect(Math.abs(found.high - 3.88)).toBeLessThan(0.03);
    expect(Math.abs(found.low + 3.88)).toBeLessThan(0.03);
  });

  test('9.2.4, one rectangular input ten times as wide: ±17.0 where k·u says ±19.9', () => {
    const found = monteCarlo(modelTrials(additive('rectangular', [1, 1, 1, 10]), 3), 0.95);
    expect(found.standardDeviation).toBeCloseTo(10.1, 1);
    expect(Math.abs(found.high - 17.0)).toBeLessThan(0.1);
    expect(Math.abs(found.low + 17.0)).toBeLessThan(0.1);
  });

  test('7.9.2, numerical tolerance (its examples from memory): 0.00035 g gives 0.000005 g, 2 K gives 0.5 K', () => {
    expect(numericalTolerance(0.00035, 2)).toBeCloseTo(0.000005, 12);
    expect(numericalTolerance(2, 1)).toBe(0.5);
  });

  test('the same seed gives the same digits, another seed others', () => {
    const run = (seed: number) => monteCarlo(modelTrials(additive('t', [1, 1, 1, 1]), seed), 0.95);
    expect(run(5)).toEqual(run(5));
    expect(run(5).low).not.toBe(run(6).low);
  });
});
