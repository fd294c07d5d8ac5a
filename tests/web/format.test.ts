import { describe, expect, it } from 'vitest';
import { clock, fixed, grouped, plusMinus, rounded, significant, withSign } from '../../web/app/format.ts';

describe('numbers as they are shown', () => {
  // JCGM 100:2008, 7.2.2 and 7.2.6: the mass of 100.021 47 g with u = 0.35 mg; two digits of the uncertainty.
  it('rounds value and uncertainty together, as the GUM has it', () => {
    expect(rounded(100.02147, 0.00035)).toEqual({ value: '100.02147', u: '0.00035' });
    expect(rounded(10.05762, 0.027)).toEqual({ value: '10.058', u: '0.027' });
    expect(rounded(1.19537, 0.000463)).toEqual({ value: '1.19537', u: '0.00046' });
    expect(rounded(743.2, 12)).toEqual({ value: '743', u: '12' });
  });

  it('keeps two digits where rounding carries into the next decade', () => {
    expect(rounded(1.23456, 0.0996)).toEqual({ value: '1.23', u: '0.10' });
    expect(rounded(1.23456, 0.00999)).toEqual({ value: '1.235', u: '0.010' });
  });

  it('never prints NaN, infinity or a hyphen for a minus', () => {
    for (const odd of [Number.NaN, Number.POSITIVE_INFINITY, null, undefined])
      expect(fixed(odd, 2)).toBe('–');
    expect(fixed(-1.5, 1)).toBe('−1.5');
    expect(withSign(2, 1)).toBe('+2.0');
    expect(plusMinus(null, 1)).toBe('–');
    expect(plusMinus(1.5, 0)).toBe('1.500');
    expect(rounded(1, Number.NaN)).toEqual({ value: '1.00', u: '–' });
  });

  it('writes powers of ten, thousands and times', () => {
    expect(significant(-0.000094, 2)).toBe('−9.4 × 10⁻⁵');
    expect(significant(123_456_789, 3)).toBe('1.23 × 10⁸');
    expect(significant(0.00313, 3)).toBe('0.00313');
    expect(significant(0)).toBe('0');
    expect(grouped(1_234_567)).toBe('1\u2009234\u2009567');
    expect(clock(125.9)).toBe('2:05');
  });
});
