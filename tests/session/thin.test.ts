import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ReadingRing } from '../../bridge/serve/reading-ring.ts';
import { thin } from '../../bridge/session/thin.ts';

describe('thinning', () => {
  it('keeps order, ends, lowest and highest, and the bound', () => {
    const values = fc.array(fc.oneof(fc.double({ noNaN: true, min: -9, max: 9 }), fc.constant(Number.NaN)));
    fc.assert(
      fc.property(values, fc.integer({ min: 2, max: 50 }), (all, most) => {
        const picked = thin(all.length, most, (index) => all[index]);
        expect(picked.length).toBeLessThanOrEqual(Math.max(most + 1, 3));
        expect([...picked].sort((a, b) => a - b)).toEqual(picked);
        expect(new Set(picked).size).toBe(picked.length);
        const numbers = all.filter((value) => !Number.isNaN(value));
        if (numbers.length === 0) return;
        const kept = picked.map((index) => all[index]).filter((value) => !Number.isNaN(value));
        expect(Math.max(...kept)).toBe(Math.max(...numbers));
        expect(Math.min(...kept)).toBe(Math.min(...numbers));
      }),
    );
  });
});

describe('the ring of readings', () => {
  const reading = (atS: number) => ({
    atS,
    contact: true,
    scaleCm: 1,
    lengthCm: null,
    currentUa: atS,
    saturated: false,
    driverMa: null,
    cell: 2,
    row: null,
    protect: true,
    load: false,
    afterGap: false,
  });

  it('forgets the oldest and gives what is left from any place', () => {
    const ring = new ReadingRing(10);
    for (let index = 0; index < 25; index += 1) ring.push(reading(index));
    expect(ring.since(0, 100).tS).toEqual([15, 16, 17, 18, 19, 20, 21, 22, 23, 24]);
    expect(ring.since(23, 100).tS).toEqual([23, 24]);
    expect(ring.since(25, 100).tS).toEqual([]);
    expect(ring.since(24, 100).state).toEqual([1 + 4 + 8 + 32]);
  });
});
