import { describe, expect, test } from 'vitest';
import { fillGaps } from '../../bridge/calc-core/assumed-sizes.ts';
import { averageSets } from '../../bridge/calc-core/averaged-outcome.ts';
import type { BenchKnowledge, ComparisonSet, LoadSet } from '../../bridge/calc-core/balancing-length.ts';
import { compareEmfs } from '../../bridge/calc-core/comparison.ts';
import { comparisonTask } from '../../bridge/calc-core/comparison-model.ts';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { internalResistance } from '../../bridge/calc-core/internal-resistance.ts';
import { emfByReference } from '../../bridge/calc-core/reference-cell.ts';
import { BENCH, readByEye, SILENT, sensed, setsOf } from './lengths.ts';
import { heldBetween } from './numbers.ts';

/** What must hold of a result that is averaged over models, whatever the bench hides. */

const formulas = await loadFormulas();
const RATIO = 1.1954;
const LENGTHS = [800, 720, 640, 560];
const compare = (sets: readonly ComparisonSet[], bench: BenchKnowledge = SILENT) =>
  compareEmfs(sets, bench, { formulas });
type Outcome = ReturnType<typeof compare>;
function resultOf({ result }: Pick<Outcome, 'result'>) {
  if (result === null) throw new Error('no result');
  return result;
}
const codes = ({ faults }: Pick<Outcome, 'faults'>) => faults.map(({ code }) => code);
const rootSumOfSquares = ({ budget }: ReturnType<typeof resultOf>) =>
  Math.hypot(...budget.map((row) => row.contribution));

/** A minute from length to length, cells in turn. */
const timed = (sets: readonly ComparisonSet[]): ComparisonSet[] =>
  sets.map((set, index) => ({
    ...set,
    l1: { ...set.l1, atS: 120 * index },
    l2: { ...set.l2, atS: 120 * index + 60 },
  }));
const SETS = timed(setsOf(RATIO, 0.4, LENGTHS));

describe('the interval and the budget', () => {
  test('value ± U holds 95 % of the mixture, counted by numerical integration, and no less wide an interval does', () => {
    const { value, U, u } = resultOf(compare(SETS));
    const purpose = { quantity: { quantity: 'E1/E2', unit: '1' }, factor: null } as const;
    const parts = averageSets(comparisonTask(SETS, fillGaps(SILENT), purpose))?.parts ?? [];
    expect(heldBetween(parts, value - U, value + U)).toBeCloseTo(0.95, 3);
    expect(heldBetween(parts, value - 0.98 * U, value + 0.98 * U)).toBeLessThan(0.95);
    const mean = parts.reduce((sum, part) => sum + part.weight * part.mean, 0);
    const square = parts.reduce(
      (sum, part) => sum + part.weight * (part.variance + (part.mean - mean) ** 2),
      0,
    );
    expect(value).toBeCloseTo(mean, 12);
    expect(u).toBeCloseTo(Math.sqrt(square), 12);
  });

  test.each([
    ['four sets on a bench that nobody measured', SETS, SILENT],
    ['one set on a bench that nobody measured', SETS.slice(0, 1), SILENT],
    ['four sets on a bench that is stated', SETS, BENCH],
  ] as const)('rows add up to u: %s', (_, sets, bench) => {
    const result = resultOf(compare(sets, bench));
    expect(rootSumOfSquares(result) / result.u).toBeCloseTo(1, 12);
    expect(result.budget.map(({ symbol }) => symbol)).toEqual(
      expect.arrayContaining(['l_1_1', 'l_2_1', 'd_position', 'alpha', 'd_models']),
    );
  });

  test('with one set a slip would go unseen: it is not reckoned with, and the lengths keep their rows', () => {
    const { budget, k } = resultOf(compare(setsOf(RATIO, 0.4, [800]), BENCH));
    const contribution = (symbol: string) => budget.find((row) => row.symbol === symbol)?.contribution ?? 0;
    expect(contribution('d_slips')).toBe(0);
    expect(contribution('l_1_1') / (0.004 / 800)).toBeCloseTo(1, 1);
    expect(k).toBeGreaterThan(1);
  });
});

describe('what a bench file does not state', () => {
  const STATED = {
    position: { standardUncertaintyCm: 0.001, correlationCm: 15 },
    endCorrection: { valueCm: 0.4, standardUncertaintyCm: 0.01 },
    uniformityRelative: 1e-6,
    rowSpreadRelative: 1e-6,
    turnCorrectionCm: { valueCm: 0, standardUncertaintyCm: 0.001 },
    thermalEmfUv: 0.1,
    steadyRelativePerMin: { 1: 1e-7, 2: 1e-7 },
  } satisfies Partial<BenchKnowledge>;
  const known: BenchKnowledge = { ...BENCH, ...STATED };
  const stated = resultOf(compare(SETS, known));

  test.each([
    { field: 'position', row: 'd_position' },
    { field: 'endCorrection', row: 'alpha' },
    { field: 'uniformityRelative', row: 'd_walk' },
    { field: 'rowSpreadRelative', row: 'd_rows' },
    { field: 'turnCorrectionCm', row: 'd_turns' },
    { field: 'thermalEmfUv', row: 'd_thermal' },
    { field: 'steadyRelativePerMin', row: 'd_cells' },
  ] as const)('$field: U grows, its row is marked as assumed, and a note names it', ({ field, row }) => {
    const outcome = compare(SETS, { ...known, [field]: SILENT[field] });
    const result = resultOf(outcome);
    expect(result.U).toBeGreaterThan(stated.U);
    const assumed = (budget: typeof result.budget) => budget.find(({ symbol }) => symbol === row)?.assumed;
    expect(assumed(result.budget)).toBe(true);
    expect(assumed(stated.budget) ?? false).toBe(false);
    expect(codes(outcome).filter((code) => code === 'budget-row-absent')).toHaveLength(1);
  });

  test('a hundred sets do not average away what they share', () => {
    const many = Array.from({ length: 100 }, (_, index) => 450 + 3.5 * index);
    const result = resultOf(compare(timed(setsOf(RATIO, 0.4, many))));
    expect(result.U).toBeGreaterThan(1e-4);
    expect(Math.abs(result.value - RATIO)).toBeLessThan(result.U);
  });
});

describe('the truth lies within U on a bench that nobody measured', () => {
  const holds = (sets: readonly ComparisonSet[]) => {
    const outcome = compare(sets);
    const { value, U } = resultOf(outcome);
    expect(Math.abs(value - RATIO)).toBeLessThan(U);
    return outcome;
  };
  const asWire = (lengthCm: number, of: (cm: number) => number) => sensed(lengthCm + of(lengthCm));

  test('a bad joint at A, worth 4 cm', () => {
    holds(timed(setsOf(RATIO, 4, LENGTHS)));
  });

  test('one row of half a per cent less resistance', () => {
    const longer = (cm: number) => 0.005 * Math.max(0, Math.min(100, cm - 700));
    holds(
      timed(setsOf(RATIO, 0.3, LENGTHS)).map((set) => ({
        ...set,
        l1: { ...asWire(set.l1.lengthCm, longer), atS: set.l1.atS },
        l2: { ...asWire(set.l2.lengthCm, longer), atS: set.l2.atS },
      })),
    );
  });

  test('a cell that falls by 0.06 % a minute: E1/E2 of the middle of the run', () => {
    const sets = timed(setsOf(RATIO, 0.3, [800, 560, 720, 640]));
    const middle = (sets[3].l2.atS ?? 0) / 2;
    const outcome = holds(
      sets.map((set) => ({
        ...set,
        l1: { ...set.l1, lengthCm: set.l1.lengthCm * (1 - 1e-5 * ((set.l1.atS ?? 0) - middle)) },
      })),
    );
    expect(resultOf(outcome).atS).toBe(middle);
    expect(codes(outcome)).toContain('cell-changed');
  });

  test.each([1, 10, 100])('a length misread by %d cm: its set is named', (cm) => {
    const misread = SETS.map((set, index) =>
      index === 1 ? { ...set, l1: { ...set.l1, lengthCm: set.l1.lengthCm - cm } } : set,
    );
    const outcome = holds(misread);
    // a centimetre may also be the wire of a bench that nobody measured; ten may not
    const [told] = outcome.faults.filter(({ code }) => code === 'set-outlying');
    if (cm > 1) expect(told?.text).toContain('Set 2 ');
    const plain = Math.abs((outcome.byTheBook?.mean ?? 0) - RATIO);
    if (cm > 1) expect(Math.abs(resultOf(outcome).value - RATIO)).toBeLessThan(0.2 * plain);
  });

  test('a centimetre misread on a wire that is known', () => {
    const misread = SETS.map((set, index) =>
      index === 1 ? { ...set, l1: { ...set.l1, lengthCm: set.l1.lengthCm - 1 } } : set,
    );
    const told = compare(misread, BENCH).faults.find(({ code }) => code === 'set-outlying');
    expect(told?.text).toContain('Set 2 ');
  });
});

describe('what changes nothing', () => {
  const close = (a: Outcome, b: Outcome) => {
    expect(Math.abs(resultOf(a).value - resultOf(b).value)).toBeLessThan(1e-3 * resultOf(a).u);
    expect(resultOf(a).u / resultOf(b).u).toBeCloseTo(1, 3);
    expect(resultOf(a).U / resultOf(b).U).toBeCloseTo(1, 3);
  };

  test('the order in which sets are given', () => {
    const [a, b, c, d] = SETS;
    close(compare([c, a, d, b]), compare(SETS));
  });

  test('a scale twice as long, everything on the wire with it: no error is known in centimetres alone', () => {
    const twice = (cm: number) => 2 * cm;
    const lengths = ({ set, driverMa, l1, l2 }: ComparisonSet): ComparisonSet => ({
      set,
      driverMa,
      l1: { ...readByEye(twice(l1.lengthCm), 2e-3), atS: l1.atS, row: l1.row },
      l2: { ...readByEye(twice(l2.lengthCm), 2e-3), atS: l2.atS, row: l2.row },
    });
    const small = ({ set, driverMa, l1, l2 }: ComparisonSet): ComparisonSet => ({
      set,
      driverMa,
      l1: { ...readByEye(l1.lengthCm, 1e-3), atS: l1.atS, row: l1.row },
      l2: { ...readByEye(l2.lengthCm, 1e-3), atS: l2.atS, row: l2.row },
    });
    const bench: BenchKnowledge = {
      ...BENCH,
      position: null,
      endCorrection: { valueCm: 0.4, standardUncertaintyCm: 0.2 },
      rowSpreadRelative: 1e-4,
      turnCorrectionCm: { valueCm: 0.1, standardUncertaintyCm: 0.02 },
    };
    const large: BenchKnowledge = {
      ...bench,
      wireLengthCm: 2000,
      rowLengthCm: 200,
      endCorrection: { valueCm: 0.8, standardUncertaintyCm: 0.4 },
      turnCorrectionCm: { valueCm: 0.2, standardUncertaintyCm: 0.04 },
    };
    const [one, other] = [compare(SETS.map(small), bench), compare(SETS.map(lengths), large)];
    // what is misread, and how carelessly a scale was put on, are matters of centimetres, and move the average a little
    expect(Math.abs(resultOf(one).value - resultOf(other).value)).toBeLessThan(0.1 * resultOf(one).U);
    expect(resultOf(one).U / resultOf(other).U).toBeCloseTo(1, 1);
  });
});

describe('what is senseless or nearly so', () => {
  const finite = (outcome: Outcome) => {
    const { value, u, U, k } = resultOf(outcome);
    expect([value, u, U, k].every(Number.isFinite)).toBe(true);
    expect(u).toBeGreaterThan(0);
  };

  test('an end correction known to 1e9 cm is one that is not known', () => {
    const outcome = compare(SETS, { ...BENCH, endCorrection: { valueCm: 0, standardUncertaintyCm: 1e9 } });
    finite(outcome);
    expect(Object.values(resultOf(outcome).constants).every(Number.isFinite)).toBe(true);
    expect(Math.abs(resultOf(outcome).value - RATIO)).toBeLessThan(resultOf(outcome).U);
  });

  test('a driver current of 0: no thermal EMF becomes a length, and a note says of which set', () => {
    const outcome = compare(SETS.map((set, index) => (index === 2 ? { ...set, driverMa: 0 } : set)));
    finite(outcome);
    expect(outcome.faults.some(({ text }) => text.includes('thermal EMFs of set 3'))).toBe(true);
  });
});

describe('an EMF by a cell of known EMF', () => {
  const reference = { emfV: 1.0186, uEmfV: 0.0002 };
  const ratio = resultOf(compare(SETS, BENCH));

  test('cell 2 known: E1 = E_ref·ratio, and the uncertainties of both add up in squares', () => {
    const result = resultOf(emfByReference(SETS, BENCH, { cell: 2, ...reference }, { formulas }));
    expect(result).toMatchObject({ quantity: 'E1', unit: 'V' });
    expect(result.value).toBeCloseTo(reference.emfV * ratio.value, 12);
    expect(result.u / Math.hypot(reference.emfV * ratio.u, ratio.value * reference.uEmfV)).toBeCloseTo(1, 4);
    expect(rootSumOfSquares(result) / result.u).toBeCloseTo(1, 12);
    const row = result.budget.find(({ symbol }) => symbol === 'E_ref');
    expect((row?.contribution ?? 0) / (ratio.value * reference.uEmfV)).toBeCloseTo(1, 2);
  });

  test('cell 1 known: E2 = E_ref/ratio', () => {
    const result = resultOf(emfByReference(SETS, BENCH, { cell: 1, ...reference }, { formulas }));
    expect(result.quantity).toBe('E2');
    expect(result.value).toBeCloseTo(reference.emfV / ratio.value, 6);
    const u = Math.hypot((reference.emfV * ratio.u) / ratio.value ** 2, reference.uEmfV / ratio.value);
    expect(result.u / u).toBeCloseTo(1, 2);
  });
});

describe('internal resistance with one open length for several loads', () => {
  const R_OHM = 0.85;
  const sets = (open: (index: number) => number): LoadSet[] => {
    const shared = readByEye(940, 0.2);
    return [2, 5, 10, 20].map((loadOhm, index) => ({
      set: open(index),
      driverMa: 84,
      loadOhm,
      uLoadOhm: 0,
      l0: open(index) === 1 ? shared : readByEye(940, 0.2),
      l: readByEye((940 * loadOhm) / (loadOhm + R_OHM), 0.01),
    }));
  };
  const run = (of: LoadSet[]) => resultOf(internalResistance(of, BENCH, { formulas }));

  test('its error is the same in all loads, so that precise loaded lengths tell it: r is surer than with one for each', () => {
    const [shared, each] = [run(sets(() => 1)), run(sets((index) => index + 1))];
    expect(shared.U).toBeLessThan(0.6 * each.U);
    expect(Math.abs(each.value - R_OHM)).toBeLessThan(each.U);
    expect(rootSumOfSquares(shared) / shared.u).toBeCloseTo(1, 12);
    expect(Math.abs(shared.value - R_OHM)).toBeLessThan(shared.U);
    expect(shared.budget.filter(({ symbol }) => symbol.startsWith('l0'))).toHaveLength(1);
  });

  test('one loaded length of four misread by 6 cm: the loads that agree decide, and the set is named once', () => {
    const misread = sets(() => 1).map((set, index) =>
      index === 2 ? { ...set, l: readByEye(set.l.lengthCm + 6, 0.01) } : set,
    );
    const outcome = internalResistance(misread, BENCH, { formulas });
    expect(Math.abs(resultOf(outcome).value - R_OHM)).toBeLessThan(resultOf(outcome).U);
    expect(outcome.faults.filter(({ code }) => code === 'set-outlying')).toHaveLength(1);
  });
});

describe('the Monte Carlo check of the interval', () => {
  const checked = (sets: readonly ComparisonSet[], bench: BenchKnowledge) => {
    const { check, result } = compareEmfs(sets, bench, { formulas, seed: 7 });
    if (check === null || result === null) throw new Error('no check');
    return { check, result };
  };

  test('agrees where the models are nearly straight, and is the same for the same seed', () => {
    const { check, result } = checked(SETS, BENCH);
    expect(check.agrees).toBe(true);
    expect(Math.abs(check.high - (result.value + result.U))).toBeLessThan(0.1 * result.U);
    expect(checked(SETS, BENCH).check).toEqual(check);
  });

  test('disagrees where a length is uncertain by a third of itself, and the ratio is skew', () => {
    const [set] = SETS;
    const vague = { ...set, l1: readByEye(956, 0.1), l2: readByEye(800, 250) };
    const { check, result } = checked([vague], BENCH);
    expect(check.agrees).toBe(false);
    expect(check.high - result.value).toBeGreaterThan(1.3 * (result.value - check.low));
  });
});
