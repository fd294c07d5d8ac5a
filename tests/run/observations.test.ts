import { describe, expect, it } from 'vitest';
import { viewOf } from '../independent-recordings/fold-text.ts';
import { begin, fineNull, SWEEPS, takeSet } from '../independent-recordings/writer/student.ts';
import { comparisonOf } from './work-of.ts';

/** Nulls of one set and cell into one length, and both cells' lengths at one driver current. */

const FINE_BOARD = { bits: 16 };

describe('a length by the sensor and by eye', () => {
  it('lies nearer to the surer of the two', () => {
    const lengths = [0.02, 0.2].map((uCm) => {
      const run = begin({ uScaleCm: 0 });
      run.message({ kind: 'set', set: 1 });
      fineNull(run, { ...SWEEPS, by: 'one-way' });
      const truth = run.truthCm();
      run.message({ kind: 'length', cell: 1, set: 1, row: 7, scaleCm: truth + 0.05 - 600, uCm });
      return comparisonOf(viewOf(run.text)).sets[0].l1Cm! - truth;
    });
    // The sensor's calibration is good to 0.03 cm: 9/13 of the way to a reading by 0.02 cm, 9/409 to one by 0.2 cm.
    expect(lengths[0] / 0.05).toBeGreaterThan(0.55);
    expect(lengths[1] / 0.05).toBeLessThan(0.15);
  });
});

describe('lengths of a set', () => {
  it.each([
    ['as the ammeter channel sees it', ['gal', 'pos', 'drv'] as const, [1, 2] as const],
    ['as repeated nulls show it where nothing measures it', ['gal', 'pos'] as const, [1, 1, 2] as const],
  ])('are brought to one driver current, %s', (_, channels, order) => {
    const run = begin({ uScaleCm: 0, driftPerS: -5e-5, board: { ...FINE_BOARD, channels: [...channels] } });
    run.message({ kind: 'set', set: 1 });
    takeSet(run, 1, { order: [...order], fine: { ...SWEEPS, by: 'one-way', seconds: 2 } });
    run.lift(2);
    const { l1Cm, l2Cm } = comparisonOf(viewOf(run.text)).sets[0];
    const mA = run.driverMaAt(run.tS / 2);
    const truth = run.lengthAtCm(1, mA) / run.lengthAtCm(2, mA);
    // As found, the cells lie four seconds apart: two parts in ten thousand.
    expect(Math.abs(l1Cm! / l2Cm! / truth - 1)).toBeLessThan(5e-5);
  });

  it('take no difference between the directions of sweeps for a drift that the ammeter would have shown', () => {
    const run = begin({ uScaleCm: 0, backlashCm: 0.1 });
    run.message({ kind: 'set', set: 1 });
    takeSet(run, 1, { fine: { ...SWEEPS, seconds: 3 } });
    run.lift(2);
    const view = viewOf(run.text);
    const { l1Cm, l2Cm, uRead1Cm } = comparisonOf(view).sets[0];
    const mA = run.driverMaAt(run.tS / 2);
    for (const [cell, lengthCm] of [
      [1, l1Cm],
      [2, l2Cm],
    ] as const)
      expect(Math.abs(lengthCm! - run.lengthAtCm(cell, mA))).toBeLessThan(0.06);
    expect(uRead1Cm).toBeGreaterThan(0.008);
    expect(view.findings.map(({ code }) => code)).toContain('nulls-scatter');
  });
});
