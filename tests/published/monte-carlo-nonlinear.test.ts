import { describe, expect, test } from 'vitest';
import { columnAt, type Effect } from '../../bridge/calc-core/effects.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { message } from '../../bridge/calc-core/messages.ts';
import { monteCarlo } from '../../bridge/calc-core/monte-carlo.ts';
import type { Distribution } from '../../bridge/calc-core/outcome.ts';
import { type MeasurementModel, propagate } from '../../bridge/calc-core/propagate.ts';
import { modelTrials } from './model-trials.ts';

/** JCGM 101:2008, clauses 9.4 and 9.5. Published figures from memory; the exact ones beside them recomputed with SciPy. */

const formulas = await loadFormulas();

interface Given {
  symbol: string;
  estimate: number;
  u: number;
  distribution: Distribution;
  dof?: number;
}

function modelOf(text: string, given: readonly Given[]): MeasurementModel {
  return {
    formula: formulas.compile(text),
    inputs: given,
    constants: {},
    effects: given.map(
      ({ symbol, estimate, u, distribution, dof = Number.POSITIVE_INFINITY }, index): Effect => ({
        symbol,
        meaning: message('row-common', { name: symbol }),
        estimate,
        unit: '1',
        standardUncertainty: u,
        distribution,
        dof,
        columns: [columnAt(given.length, index, u)],
      }),
    ),
  };
}

/** In units of 1e-6. The comparison loss is 1 - x1² - x2²; what is left of 1 is δ = X1² + X2², both normal with u = 0.005. */
const loss = (x1: number): MeasurementModel =>
  modelOf('1e6*(X_1^2 + X_2^2)', [
    { symbol: 'X_1', estimate: x1, u: 0.005, distribution: 'normal' },
    { symbol: 'X_2', estimate: 0, u: 0.005, distribution: 'normal' },
  ]);

describe('JCGM 101, 9.4, comparison loss in microwave power meter calibration', () => {
  // δ/u² is a chi-square with two degrees of freedom, not central where x1 is not 0: mean x1² + 2u²; ends by SciPy
  test.each([
    { x1: 0, mean: 50, u: 50, low: 1.26589, high: 184.44397, framework: [0, 0] },
    { x1: 0.01, mean: 150, u: 112, low: 8.54684, high: 427.12328, framework: [100, 100] },
    { x1: 0.05, mean: 2550, u: 502, low: 1638.47707, high: 3603.35805, framework: [2500, 500] },
  ])('x1 = $x1: $mean with $u, where the first-order framework says $framework', (expected) => {
    const model = loss(expected.x1);
    const { value, u } = propagate(model);
    expect([value, u]).toEqual(expected.framework.map((one) => expect.closeTo(one, 6)));
    const found = monteCarlo(modelTrials(model, 94), 0.95);
    const within = found.tolerance + found.noise;
    expect(Math.abs(found.mean - expected.mean)).toBeLessThan(within);
    expect(Math.abs(found.standardDeviation - expected.u)).toBeLessThan(within);
    expect(Math.abs(found.low - expected.low)).toBeLessThan(within);
    expect(Math.abs(found.high - expected.high)).toBeLessThan(within);
  });
});

const inTurn = (symbol: string): Given => ({
  symbol,
  estimate: 0.5,
  u: 1 / Math.sqrt(12),
  distribution: 'rectangular',
});
const normal = (symbol: string, estimate: number, u: number): Given => ({
  symbol,
  estimate,
  u,
  distribution: 'normal',
});
const student = (symbol: string, estimate: number, u: number, dof: number): Given => ({
  symbol,
  estimate,
  u,
  distribution: 't',
  dof,
});

/** Rectangle whose ends are known to ± d only (6.4.3.4), from two rectangular inputs p and q of 0 to 1. */
const trapezoid = (half: number, d: number, p: string, q: string): string =>
  `(${-half - d} + ${2 * d}*${p} + (${2 * (half + d)} - ${4 * d}*${p})*${q})`;

/** A gauge block of 50 mm, in nm: less than the nominal length is left out of the first term. */
const gaugeBlock = modelOf(
  [
    'L_s + D + d_1 + d_2',
    `- (50000000 + L_s)*(${trapezoid(1e-6, 1e-7, 'p_a', 'q_a')}*(theta + 0.5*sin(phi))`,
    `+ alpha*${trapezoid(0.05, 0.025, 'p_t', 'q_t')})`,
  ].join(' '),
  [
    student('L_s', 623, 25, 18),
    student('D', 215, 6, 24),
    student('d_1', 0, 4, 5),
    student('d_2', 0, 7, 8),
    { symbol: 'alpha', estimate: 11.5e-6, u: 2e-6 / Math.sqrt(3), distribution: 'rectangular' },
    normal('theta', -0.1, 0.2),
    { symbol: 'phi', estimate: 0, u: Math.PI / Math.sqrt(3), distribution: 'rectangular' },
    ...['p_a', 'q_a', 'p_t', 'q_t'].map(inTurn),
  ],
);

describe('JCGM 101, 9.5, gauge block calibration', () => {
  test('838 nm with 36 nm where the first-order framework of GUM H.1 says 32; 99 % between 745 and 932 nm', () => {
    const found = monteCarlo(modelTrials(gaugeBlock, 95), 0.99);
    expect(found.mean).toBeCloseTo(838, 0);
    expect(found.standardDeviation).toBeCloseTo(35.82, 0);
    expect(Math.round(found.standardDeviation)).toBe(36);
    // an independent run of ten million trials: 744.4 and 931.6
    expect(Math.abs(found.low - 744.4)).toBeLessThan(2);
    expect(Math.abs(found.high - 931.6)).toBeLessThan(2);
  });
});
