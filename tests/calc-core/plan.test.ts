import { describe, expect, test } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { type Plan, type PlanRequest, planRun } from '../../bridge/calc-core/plan.ts';
import { BENCH, sensed } from './lengths.ts';

const formulas = await loadFormulas();
const REQUEST: PlanRequest = {
  bench: BENCH,
  driverEmfV: 3.1,
  driverResistanceOhm: 0.5,
  rheostatOhm: [0, 50],
  emf1V: 1.58,
  emf2V: 1.32,
  galvanometerOhm: 120,
  sets: 4,
  uReadCm: 0.01,
  place: (lengthCm) => {
    const { row, sensorScaleCm, scaleSense } = sensed(lengthCm);
    return { row: row ?? 1, scaleCm: sensorScaleCm ?? 0, scaleSense };
  },
  formulas,
};
const planOf = (change: Partial<PlanRequest> = {}): Plan => {
  const answer = planRun({ ...REQUEST, ...change });
  if (!answer.ok) throw new Error(answer.text);
  return answer.plan;
};
const cautionsOf = (change: Partial<PlanRequest>): string =>
  String(planOf(change).cautions.map((caution) => caution.text));
const refusal = (change: Partial<PlanRequest>): string => {
  const answer = planRun({ ...REQUEST, ...change });
  return answer.ok ? '' : answer.text;
};

describe('plan of a run', () => {
  test('never takes the rheostat out, though it goes down to nought', () => {
    const { sets } = planOf({ rheostatOhm: [0, 20], sets: 6 });
    expect(Math.min(...sets.map(({ rheostatOhm }) => rheostatOhm))).toBeGreaterThanOrEqual(0.999);
  });

  test('the first set puts the larger EMF’s null on the last row; the nulls balance by Ohm’s law', () => {
    const { sets } = planOf();
    expect(sets[0].null1.row).toBe(10);
    for (const { driverMa, rheostatOhm, null1, null2 } of sets) {
      // the current that the circuit really has, and the voltage that it makes along the wire
      expect((3.1 / (0.5 + rheostatOhm + 20)) * 1e3).toBeCloseTo(driverMa, 9);
      expect((null1.lengthCm / 1000) * 20 * driverMa * 1e-3).toBeCloseTo(1.58, 9);
      expect((null2.lengthCm / 1000) * 20 * driverMa * 1e-3).toBeCloseTo(1.32, 9);
    }
  });

  test('whichever cell is the larger', () => {
    expect(planOf({ emf1V: 1.32, emf2V: 1.58 }).sets[0].null2.row).toBe(10);
  });

  test('sensitivity against the full circuit, a small step of the jockey aside the null', () => {
    const [{ driverMa, null1 }] = planOf().sets;
    const total = 3.1 / (driverMa * 1e-3);
    const current = (lengthCm: number) => {
      const a = (lengthCm / 1000) * 20;
      return (1.58 - (3.1 * a) / total) / (120 + (a * (total - a)) / total);
    };
    const slope = (current(null1.lengthCm + 0.05) - current(null1.lengthCm - 0.05)) * 1e6;
    expect(null1.sensitivityUaPerMm).toBeCloseTo(-slope, 4);
  });

  test('more sets promise a smaller U', () => {
    // without the sensor's error, which depends on where the nulls of each plan happen to fall
    const bench = { ...BENCH, position: null };
    const u = [1, 2, 4, 8].map((sets) => planOf({ sets, bench }).expectedU ?? 0);
    expect(u[3]).toBeGreaterThan(0);
    expect([...u].sort((a, b) => b - a)).toEqual(u);
  });

  test('heating, and its cautions', () => {
    const cool = planOf();
    expect(cool.heating.wattsPerMetre).toBeCloseTo(((cool.heating.largestMa * 1e-3) ** 2 * 20) / 10, 12);
    expect(cool.cautions).toEqual([]);
    const warm = { bench: { ...BENCH, wireResistanceOhm: 0.3 }, driverResistanceOhm: 0.02 };
    expect(cautionsOf(warm)).toContain('burn');
  });

  test('a rheostat that cannot reach the last row is named', () => {
    expect(cautionsOf({ rheostatOhm: [0, 5] })).toContain('larger resistance');
  });

  test('a plan that cannot work is refused with the reason', () => {
    expect(refusal({ driverEmfV: 1.5 })).toContain('larger EMF');
    expect(refusal({ driverEmfV: 1.7, driverResistanceOhm: 5 })).toContain('beyond the end of the wire');
    expect(refusal({ emf2V: Number.NaN })).toContain('above 0');
    expect(refusal({ sets: 0 })).toContain('one set');
    expect(refusal({ rheostatOhm: [5, 1] })).toContain('range');
  });
});
