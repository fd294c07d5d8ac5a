import { expect, test } from 'vitest';
import type { BalancingLength, ComparisonSet } from '../../bridge/calc-core/balancing-length.ts';
import { measuredEndCorrection } from '../../bridge/calc-core/end-correction.ts';
import { normalOf, uniformFrom } from '../independent-recordings/writer/noise.ts';
import { SILENT, sensed } from './lengths.ts';

const lengthAt = (lengthCm: number): BalancingLength => sensed(lengthCm, 0.01);

const setOf = (l1: BalancingLength, l2: BalancingLength): ComparisonSet => ({
  set: 1,
  driverMa: 100,
  l1,
  l2,
});

const measured = (sets: ComparisonSet[], ratio = { value: 2, u: 0.002 }, bench = SILENT) => {
  const answer = measuredEndCorrection(sets, ratio, bench);
  if (!answer.ok) throw new Error(answer.text);
  return answer.end;
};

/** By hand: α = (19.40 − 2·9.40)/(2 − 1) = 0.60; dα/dn = −(l2 + α)/(n − 1) = −10, times 0.002. */
test('worked by hand', () => {
  const end = measured([setOf(lengthAt(19.4), lengthAt(9.4))]);
  expect(end.valueCm).toBeCloseTo(0.6, 12);
  expect(end.parts.find(({ what }) => what === 'ratio of the voltages')?.uCm).toBeCloseTo(0.02, 12);
  expect(end.parts.find(({ what }) => what === 'readings')?.uCm).toBeCloseTo(0.01 * Math.sqrt(5), 12);
});

test('the uncertainty of a bench that nobody has measured is at most 0.2 cm, the ratio known to 0.1 %', () => {
  const end = measured([setOf(lengthAt(18.6), lengthAt(9.3))]);
  expect(end.standardUncertaintyCm).toBeLessThan(0.2);
  expect(end.standardUncertaintyCm).toBeGreaterThan(0.03);
});

test('what can not be told is refused, with the way out', () => {
  const text = (sets: ComparisonSet[], ratio = { value: 2, u: 0 }) => {
    const answer = measuredEndCorrection(sets, ratio, SILENT);
    return answer.ok ? '' : answer.text;
  };
  const sound = setOf(lengthAt(19.4), lengthAt(9.4));
  expect(text([sound])).toBe('');
  expect(text([])).toMatch(/no set/);
  expect(text([setOf(lengthAt(119.4), lengthAt(59))])).toMatch(/row 1/);
  expect(text([setOf(lengthAt(9.4), lengthAt(19.4))])).toMatch(/greater length/);
  for (const value of [1, 0.5, Number.NaN, Number.POSITIVE_INFINITY])
    expect(text([sound], { value, u: 0 })).toMatch(/1.2 or more/);
  for (const u of [-1, 1, Number.NaN]) expect(text([sound], { value: 2, u })).toMatch(/small/);
});

/**
 * Benches drawn here, sharing nothing with the priors: resistance of every millimetre of the wire a Gaussian walk of its own, a joint,
 * thermal EMFs, a ratio that is off, readings that scatter. 93 to 99 % of true values within twice the uncertainty.
 */
test('drawn benches: the true end correction lies within two standard uncertainties', () => {
  const uniform = uniformFrom(20_261_127);
  const normal = normalOf(uniform);
  const [MM, PER_10_CM, V_PER_CM] = [0.1, 0.003, 0.002];
  const DRAWS = 1000;
  let held = 0;
  let squares = 0;
  for (let draw = 0; draw < DRAWS; draw += 1) {
    const endCm = 0.3 + 2 * uniform();
    // Of half to four times the ordinary unevenness.
    const uneven = PER_10_CM * 2 ** (3 * uniform() - 1);
    const trueN = 2 * (1 + 0.001 * normal());
    const balance = (volts: number) => {
      // Voltage along the wire, millimetre by millimetre.
      let [lengthCm, left] = [0, volts + 5e-6 * normal() - endCm * V_PER_CM];
      for (let at = 0; left > 0; at += 1) {
        const drop = steps[at] * V_PER_CM * MM;
        lengthCm += MM * Math.min(1, left / drop);
        left -= drop;
      }
      return lengthCm + 0.01 * normal();
    };
    const steps = Array.from({ length: 400 }, () => 1 + uneven * Math.sqrt(10 / MM) * normal());
    const u2 = 0.02;
    const end = measured([setOf(lengthAt(balance(trueN * u2)), lengthAt(balance(u2)))], {
      value: 2,
      u: 0.002,
    });
    const off = end.valueCm - endCm;
    squares += off ** 2;
    if (Math.abs(off) <= 2 * end.standardUncertaintyCm) held += 1;
  }
  expect(held / DRAWS).toBeGreaterThanOrEqual(0.93);
  expect(held / DRAWS).toBeLessThanOrEqual(0.99);
  expect(Math.sqrt(squares / DRAWS)).toBeLessThan(0.2);
});
