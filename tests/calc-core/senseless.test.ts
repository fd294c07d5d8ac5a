import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type {
  BalancingLength,
  BenchKnowledge,
  ComparisonSet,
  LoadSet,
} from '../../bridge/calc-core/balancing-length.ts';
import { compareEmfs } from '../../bridge/calc-core/comparison.ts';
import { columnsOf } from '../../bridge/calc-core/effects.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { internalResistance } from '../../bridge/calc-core/internal-resistance.ts';
import { bothAxesLine, ordinaryLine, weightedLine } from '../../bridge/calc-core/line-fit.ts';
import { emfByReference, wireLine } from '../../bridge/calc-core/reference-cell.ts';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import { BENCH, readByEye, sensed, setsOf } from './lengths.ts';

/** Senseless inputs give a fault in words or null, never NaN and never an exception. */

const formulas = await loadFormulas();
const options = { formulas };
const [SOUND] = setsOf(1.1954, 0, [700]);

/** Every number anywhere in a value. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  if (value === null || typeof value !== 'object') return [];
  return Object.values(value).flatMap(numbersIn);
}
const allFinite = (value: unknown) =>
  expect(numbersIn(value).filter((one) => !Number.isFinite(one))).toEqual([]);

const broken: [string, Partial<BalancingLength>][] = [
  ['a length of zero', { lengthCm: 0 }],
  ['a length below zero', { lengthCm: -3 }],
  ['a length that is no number', { lengthCm: Number.NaN }],
  ['an uncertainty that is missing', { uOwnCm: undefined as unknown as number }],
  ['an uncertainty below zero', { uOwnCm: -0.1 }],
  ['no degrees of freedom', { ownDof: 0 }],
  ['a common effect that is no number', { common: { lag: Number.NaN } }],
];

describe.each(broken)('%s', (_, change) => {
  const bad = { ...sensed(600), ...change };

  test('a comparison leaves the set out and says so', () => {
    const alone = compareEmfs([{ ...SOUND, l2: bad }], BENCH, options);
    expect(alone.result).toBeNull();
    expect(alone.faults.map(({ code }) => code)).toEqual(['sets-senseless', 'too-few-sets']);
    const among = compareEmfs([SOUND, { ...SOUND, set: 2, l1: bad }], BENCH, options);
    expect(among.result?.singleModel.value).toBeCloseTo(1.1954, 9);
    expect(among.sets.map(({ set }) => set)).toEqual([1]);
    allFinite(among);
  });

  test('so does an internal resistance', () => {
    const set: LoadSet = { set: 1, driverMa: 90, loadOhm: 5, uLoadOhm: 0.01, l0: sensed(700), l: bad };
    const outcome = internalResistance([set], BENCH, options);
    expect(outcome.result).toBeNull();
    expect(outcome.faults[0]).toMatchObject({ code: 'sets-senseless' });
  });
});

describe('comparison', () => {
  test('no set at all', () => {
    const outcome = compareEmfs([], BENCH, options);
    expect(outcome).toMatchObject({ result: null, byTheBook: null, sets: [] });
    expect(outcome.faults).toMatchObject([{ code: 'too-few-sets' }]);
  });

  test('equal lengths give a ratio of one', () => {
    const sets = [700, 600, 500].map((cm, index) => ({
      ...SOUND,
      set: index + 1,
      l1: sensed(cm),
      l2: sensed(cm),
    }));
    const outcome = compareEmfs(sets, BENCH, options);
    expect(outcome.result?.value).toBe(1);
    allFinite(outcome);
  });

  test('the same set over and over', () => {
    const outcome = compareEmfs(
      [1, 2, 3].map((set) => ({ ...SOUND, set })),
      BENCH,
      options,
    );
    expect(outcome.result?.singleModel.value).toBeCloseTo(1.1954, 9);
    allFinite(outcome);
  });

  test('a number given twice', () => {
    const outcome = compareEmfs([SOUND, SOUND], BENCH, options);
    expect(outcome.faults[0]).toMatchObject({ code: 'sets-senseless' });
    expect(outcome.sets).toHaveLength(1);
  });

  test('lengths without any uncertainty', () => {
    const exact = (cm: number) => readByEye(cm, 0);
    const bench = { ...BENCH, position: null, thermalEmfUv: 0 };
    const outcome = compareEmfs([{ ...SOUND, l1: exact(700), l2: exact(600) }], bench, options);
    expect(outcome.result).toBeNull();
    expect(outcome.faults.map(({ code }) => code)).toContain('sets-senseless');
  });

  test.each([
    { endCorrection: { valueCm: 0, standardUncertaintyCm: Number.NaN } },
    { position: { standardUncertaintyCm: 0.03, correlationCm: 0 } },
    { wireLengthCm: 0 },
    { thermalEmfUv: -1 },
  ] satisfies Partial<BenchKnowledge>[])('a bench with %o', (change) => {
    const outcome = compareEmfs([SOUND], { ...BENCH, ...change }, options);
    expect(outcome).toMatchObject({ result: null, faults: [{ code: 'sets-senseless' }] });
  });

  test('a reference cell without an EMF', () => {
    const outcome = emfByReference([SOUND], BENCH, { cell: 2, emfV: 0, uEmfV: 0.001 }, options);
    expect(outcome).toMatchObject({ result: null, faults: [{ code: 'sets-senseless' }] });
  });

  test('whatever the lengths: a finite result, or none and a fault that says why', () => {
    const length = fc
      .record({ cm: fc.double({ min: 0.01, max: 999, noNaN: true }), u: fc.constantFrom(0, 0.001, 0.03, 2) })
      .map(({ cm, u }) => sensed(cm, u));
    const sets = fc.array(fc.tuple(length, length), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(sets, fc.constantFrom(0, 0.1, 1), (pairs, prior) => {
        const bench = { ...BENCH, endCorrection: { valueCm: 0, standardUncertaintyCm: prior } };
        const given = pairs.map(
          ([l1, l2], index): ComparisonSet => ({ set: index + 1, driverMa: 90, l1, l2 }),
        );
        const outcome = compareEmfs(given, bench, options);
        allFinite(outcome);
        if (outcome.result === null) expect(outcome.faults.length).toBeGreaterThan(0);
      }),
      // each is an average over some thousand models
      { numRuns: 60, seed: 11 },
    );
  });
});

describe('internal resistance', () => {
  test.each([
    { change: { loadOhm: 0 }, says: 'load is 0 ohm' },
    { change: { loadOhm: Number.NaN }, says: 'load is NaN ohm' },
    { change: { uLoadOhm: -1 }, says: 'uncertainty of its load' },
  ])('$says', ({ change, says }) => {
    const set: LoadSet = {
      set: 1,
      driverMa: 90,
      loadOhm: 5,
      uLoadOhm: 0.01,
      l0: sensed(700),
      l: sensed(600),
    };
    const outcome = internalResistance([{ ...set, ...change }], BENCH, options);
    expect(outcome.result).toBeNull();
    expect(outcome.faults[0].text).toContain(says);
  });

  test('a load that changes nothing: r = 0', () => {
    const set: LoadSet = {
      set: 1,
      driverMa: 90,
      loadOhm: 5,
      uLoadOhm: 0.01,
      l0: sensed(700),
      l: sensed(700),
    };
    const outcome = internalResistance([set], BENCH, options);
    expect(outcome.result?.value).toBe(0);
    allFinite(outcome);
  });
});

describe('building stones', () => {
  test('a correlation beyond 1 is no covariance', () => {
    expect(
      columnsOf([
        [1, 1.2],
        [1.2, 1],
      ]),
    ).toBeNull();
    expect(
      columnsOf([
        [-1, 0],
        [0, 1],
      ]),
    ).toBeNull();
    expect(
      columnsOf([
        [0, 0.5],
        [0.5, 1],
      ]),
    ).toBeNull();
    expect(
      columnsOf([
        [4, 2],
        [2, 1],
      ]),
    ).toHaveLength(1);
  });

  test('lines through one point, or without an uncertainty', () => {
    const point = { x: 1, y: 2, ux: 0.1, uy: 0.1 };
    expect(bothAxesLine([point])).toBeNull();
    expect(bothAxesLine([point, { ...point, y: 3 }])).toBeNull();
    expect(
      bothAxesLine([
        { ...point, ux: 0, uy: 0 },
        { ...point, x: 2, ux: 0, uy: 0 },
      ]),
    ).toBeNull();
    expect(ordinaryLine([1, 2], [1, 2])).toBeNull();
    expect(weightedLine([1, 1], [1, 2], [1, 1])).toBeNull();
    expect(wireLine([])).toBeNull();
  });

  test('rounding without an uncertainty: three decimals, and a dash', () => {
    expect(roundTogether(1.25, 0)).toEqual({ value: '1.250', uncertainty: '–' });
    expect(roundTogether(1.25, Number.NaN)).toEqual({ value: '1.250', uncertainty: '–' });
    expect(roundTogether(null, 1)).toEqual({ value: '–', uncertainty: '1.0' });
  });
});
