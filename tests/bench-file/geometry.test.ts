import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lengthFromA, placeOnWire, scaleSense, wireLengthCm } from '../../bridge/bench/geometry.ts';

const wire = fc.record({
  rows: fc.integer({ min: 1, max: 20 }),
  rowLengthCm: fc.double({ min: 20, max: 200, noNaN: true }),
  zeroEnd: fc.constantFrom('left' as const, 'right' as const),
});

describe('rows to and fro', () => {
  it('follows the format: with the zero left, odd rows grow with the scale and even ones against it', () => {
    const left = { rows: 10, rowLengthCm: 100, zeroEnd: 'left' as const };
    const right = { ...left, zeroEnd: 'right' as const };
    expect([1, 2, 7, 8].map((row) => lengthFromA(left, row, 30))).toEqual([30, 170, 630, 770]);
    expect([1, 2, 7, 8].map((row) => lengthFromA(right, row, 30))).toEqual([70, 130, 670, 730]);
    expect(wireLengthCm(left)).toBe(1000);
  });

  it('joins each row to the next at one end of the scale', () => {
    fc.assert(
      fc.property(wire, (some) => {
        for (let row = 1; row < some.rows; row += 1) {
          const end = scaleSense(some, row) === 1 ? some.rowLengthCm : 0;
          expect(lengthFromA(some, row, end)).toBeCloseTo(lengthFromA(some, row + 1, end), 9);
        }
      }),
    );
  });

  it('finds the place of every length back', () => {
    fc.assert(
      fc.property(wire, fc.double({ min: 0, max: 1, noNaN: true }), (some, share) => {
        const lengthCm = share * wireLengthCm(some);
        const { row, scaleCm } = placeOnWire(some, lengthCm);
        expect(lengthFromA(some, row, scaleCm)).toBeCloseTo(lengthCm, 9);
        expect(row).toBeGreaterThanOrEqual(1);
        expect(row).toBeLessThanOrEqual(some.rows);
      }),
    );
  });
});
