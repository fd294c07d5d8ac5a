import { describe, expect, test } from 'vitest';
import type { BenchKnowledge } from '../../bridge/calc-core/balancing-length.ts';
import { compareEmfs } from '../../bridge/calc-core/comparison.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { internalResistance } from '../../bridge/calc-core/internal-resistance.ts';
import type { Outcome } from '../../bridge/calc-core/outcome.ts';
import { emfByReference } from '../../bridge/calc-core/reference-cell.ts';
import {
  HAMER_1972,
  OLDER_INTERNATIONAL,
  REFERENCE_CELL_CAUTIONS,
  westonEmf,
} from '../../bridge/calc-core/weston-cell.ts';
import { readByEye } from '../calc-core/lengths.ts';

/** Worked examples of textbooks, which know no end correction and state no uncertainty. */

const formulas = await loadFormulas();
const IDEAL: BenchKnowledge = {
  wireLengthCm: 100,
  rowLengthCm: 100,
  wireResistanceOhm: 10,
  position: null,
  endCorrection: { valueCm: 0, standardUncertaintyCm: 0 },
  uniformityRelative: 0,
  rowSpreadRelative: 0,
  turnCorrectionCm: { valueCm: 0, standardUncertaintyCm: 0 },
  thermalEmfUv: 0,
  steadyRelativePerMin: { 1: 0, 2: 0 },
};
/** The most probable model is the textbook's: no end correction. The average, which doubts that a little, is within its U. */
function byTheBook(result: Outcome | null): number {
  const { value, U, singleModel } = result ?? { value: 0, U: 0, singleModel: { value: 1 } };
  expect(Math.abs(value - singleModel.value)).toBeLessThan(U);
  return singleModel.value;
}
const pair = (first: number, second: number) => [
  { set: 1, driverMa: null, l1: readByEye(first, 0.05), l2: readByEye(second, 0.05) },
];

describe('NCERT, Physics, class XII, part I, chapter 3 (Current Electricity)', () => {
  test('3.12: 1.25 V balances at 35.0 cm, the other cell at 63.0 cm: 2.25 V', () => {
    const { result } = compareEmfs(pair(63, 35), IDEAL, { formulas });
    expect(1.25 * byTheBook(result)).toBeCloseTo(2.25, 12);
  });

  test('3.22: 1.02 V balances at 67.3 cm, the cell at 82.3 cm: 1.247 V', () => {
    const { result } = emfByReference(
      pair(82.3, 67.3),
      IDEAL,
      { cell: 2, emfV: 1.02, uEmfV: 0.005 },
      { formulas },
    );
    expect(byTheBook(result)).toBeCloseTo(1.247, 3);
    expect(result?.quantity).toBe('E1');
    expect(result?.budget.map((row) => row.symbol)).toContain('E_ref');
  });

  test('3.23: 10.0 ohm balances at 58.3 cm, X at 68.5 cm: 11.75 ohm, a comparison of voltages like any other', () => {
    const { result } = compareEmfs(pair(68.5, 58.3), IDEAL, { formulas });
    expect(10 * byTheBook(result)).toBeCloseTo(11.75, 2);
  });

  test('3.24: open 76.3 cm, with 9.5 ohm 64.8 cm: r = 1.69 ohm', () => {
    const sets = [
      {
        set: 1,
        driverMa: null,
        loadOhm: 9.5,
        uLoadOhm: null,
        l0: readByEye(76.3, 0.05),
        l: readByEye(64.8, 0.05),
      },
    ];
    const { result } = internalResistance(sets, IDEAL, { formulas });
    expect(byTheBook(result)).toBeCloseTo(1.6859567901, 9);
  });
});

describe('OpenStax, College Physics, null measurements: E_x = E_s·R_x/R_s', () => {
  test.each([
    { standard: 12, x: 5, s: 2.5, expected: 24 },
    { standard: 1.6, x: 1.2, s: 1.247, expected: 1.5396952687 },
    { standard: 3, x: 10, s: 15, expected: 2 },
    { standard: 3.1, x: 9.68, s: 15, expected: 2.0005333333 },
  ])('$standard V, $x and $s ohm', ({ standard, x, s, expected }) => {
    const { result } = emfByReference(pair(x, s), IDEAL, { cell: 2, emfV: standard, uEmfV: 0 }, { formulas });
    expect(byTheBook(result)).toBeCloseTo(expected, 9);
    const turned = emfByReference(
      pair(s, x),
      IDEAL,
      { cell: 1, emfV: standard, uEmfV: 0 },
      { formulas },
    ).result;
    expect(byTheBook(turned)).toBeCloseTo(expected, 9);
    expect(turned?.quantity).toBe('E2');
  });
});

describe('Weston cell', () => {
  const at = (temperatureC: number, emf20V: number) => ({
    emf20V,
    uEmf20V: 1e-6,
    temperatureC,
    uTemperatureC: 0.1,
  });

  test.each([
    { temperatureC: 15, microvolts: 178.0925 },
    { temperatureC: 25, microvolts: -224.1425 },
    { temperatureC: 30, microvolts: -487.84 },
    { temperatureC: 40, microvolts: -1107.92 },
  ])(
    '$temperatureC °C by Hamer, Skapars, Field, J. Res. NBS 76A (1972), abstract',
    ({ temperatureC, microvolts }) => {
      const found = westonEmf(at(temperatureC, 1.0186), HAMER_1972);
      expect(found.ok && (found.emfV - 1.0186) * 1e6).toBeCloseTo(microvolts, 6);
    },
  );

  test.each([
    { temperatureC: 0, volts: 1.018652 },
    { temperatureC: 18, volts: 1.01837732 },
    { temperatureC: 20, volts: 1.0183 },
    { temperatureC: 30, volts: 1.017809 },
  ])('$temperatureC °C by the older international formula (from memory)', ({ temperatureC, volts }) => {
    const found = westonEmf(at(temperatureC, 1.0183), OLDER_INTERNATIONAL);
    expect(found.ok && found.emfV).toBeCloseTo(volts, 6);
  });

  test('the temperature counts in the uncertainty, and the formula is refused outside its range', () => {
    const found = westonEmf(at(25, 1.0186), HAMER_1972);
    // about 49 microvolts per degree at 25 °C
    expect(found.ok && found.uEmfV * 1e6).toBeCloseTo(Math.hypot(1, 4.9), 1);
    expect(westonEmf(at(5, 1.0186), HAMER_1972)).toMatchObject({ ok: false });
    expect(westonEmf(at(Number.NaN, 1.0186), HAMER_1972)).toMatchObject({ ok: false });
  });

  test('the cautions hold the limits of practice: 100 microamperes at the very most, 100 kilohm or more in series', () => {
    const text = REFERENCE_CELL_CAUTIONS.join(' ');
    for (const words of ['100 microamperes', '100 kilohm', 'mercury', 'voltmeter'])
      expect(text).toContain(words);
  });
});
