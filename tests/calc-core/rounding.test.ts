import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  columnDecimals,
  dofText,
  fixed,
  plusMinus,
  roundTogether,
  significant,
  uncertaintyText,
  withSign,
} from '../../bridge/calc-core/rounding.ts';

describe('numbers for people', () => {
  // JCGM 100:2008, 7.2.2 and 7.2.6: the mass of 100.021 47 g with u = 0.35 mg; two digits of the uncertainty.
  it('rounds value and uncertainty together, as the GUM has it', () => {
    expect(roundTogether(100.02147, 0.00035)).toEqual({ value: '100.02147', uncertainty: '0.00035' });
    expect(roundTogether(10.05762, 0.027)).toEqual({ value: '10.058', uncertainty: '0.027' });
    expect(roundTogether(1.19537, 0.000463)).toEqual({ value: '1.19537', uncertainty: '0.00046' });
    expect(roundTogether(743.2, 12)).toEqual({ value: '743', uncertainty: '12' });
    expect(roundTogether(743.2, 120)).toEqual({ value: '740', uncertainty: '120' });
  });

  it('rounds an uncertainty up where rounding to the nearest would take more than 1 % off it', () => {
    expect(roundTogether(1.23456, 0.0304)).toEqual({ value: '1.235', uncertainty: '0.031' });
    expect(uncertaintyText(0.0304)).toBe('0.031');
  });

  it('keeps two digits where rounding carries into the next decade', () => {
    expect(roundTogether(1.23456, 0.0996)).toEqual({ value: '1.23', uncertainty: '0.10' });
    expect(roundTogether(1.23456, 0.00999)).toEqual({ value: '1.235', uncertainty: '0.010' });
  });

  it('gives a column the decimals of its smallest uncertainty', () => {
    expect(columnDecimals([0.034, null, 0.0041, 12], 9)).toBe(4);
    expect(columnDecimals([0.0000123], 4)).toBe(4);
    expect(roundTogether(743.2, 0.0000123, 4)).toEqual({ value: '743.2000', uncertainty: '0.0001' });
  });

  it('never prints NaN, infinity, a hyphen for a minus, or a minus before zero', () => {
    for (const odd of [Number.NaN, Number.POSITIVE_INFINITY, null, undefined])
      expect(fixed(odd, 2)).toBe('–');
    expect(fixed(-1.5, 1)).toBe('−1.5');
    expect(fixed(-0.04, 1)).toBe('0.0');
    expect(roundTogether(-3, 120).value).toBe('0');
    expect(withSign(2, 1)).toBe('+2.0');
    expect(withSign(0.04, 1)).toBe('0.0');
    expect(plusMinus(null, 1)).toBe('–');
    expect(plusMinus(1.5, 0)).toBe('1.500');
    expect(roundTogether(1, Number.NaN)).toEqual({ value: '1.000', uncertainty: '–' });
  });

  it('writes powers of ten and degrees of freedom', () => {
    expect(significant(-0.000094, 2)).toBe('−9.4\u202f×\u202f10⁻⁵');
    expect(significant(123_456_789, 3)).toBe('1.23\u202f×\u202f10⁸');
    expect(significant(0.00313, 3)).toBe('0.00313');
    expect(significant(0, 3)).toBe('0');
    expect([null, 9.14, 4000].map(dofText)).toEqual(['∞', '9.1', '> 1000']);
  });

  it('whatever the pair: two digits, at most 1 % below the uncertainty and 9 % above, the value within half a unit of its last place', () => {
    const pairs = fc.tuple(fc.double({ min: -1e4, max: 1e4, noNaN: true }), fc.double({ min: -8, max: 3 }));
    fc.assert(
      fc.property(pairs, ([value, power]) => {
        fc.pre(!Number.isNaN(power));
        const u = 10 ** power;
        const rounded = roundTogether(value, u);
        const printed = Number(rounded.uncertainty);
        expect(rounded.uncertainty.replace('.', '').replace(/^0+/, '')).toMatch(/^[1-9]\d0*$/);
        expect(printed / u).toBeGreaterThanOrEqual(0.9899);
        expect(printed / u).toBeLessThanOrEqual(1.0901);
        expect(Math.abs(Number(rounded.value.replace('−', '-')) - value)).toBeLessThanOrEqual(
          0.0501 * printed,
        );
        expect(rounded.value).not.toMatch(/^[-−][0.]*$/);
        expect(decimalsIn(rounded.value)).toBe(decimalsIn(rounded.uncertainty));
      }),
      { numRuns: 10_000, seed: 10 },
    );
  });
});

const decimalsIn = (text: string): number => text.split('.')[1]?.length ?? 0;
