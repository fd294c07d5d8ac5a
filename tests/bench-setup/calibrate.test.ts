import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitCalibration, frontEndScale, galvanometerScale } from '../../bridge/bench/calibrate.ts';

describe('the straight line through calibration points', () => {
  it('finds a line that is there, whatever the offset of the counts', () => {
    const slope = fc.double({ min: 0.001, max: 10, noNaN: true });
    fc.assert(
      fc.property(slope, fc.integer({ min: -1_000_000, max: 1_000_000 }), (cmPerCount, offset) => {
        const points = [0, 25, 60, 100].map((scaleCm) => ({
          scaleCm,
          counts: offset + scaleCm / cmPerCount,
        }));
        const fit = fitCalibration(points);
        expect(fit?.cmPerCount).toBeCloseTo(cmPerCount, 6);
        for (const residual of fit?.residualsCm ?? [1]) expect(Math.abs(residual)).toBeLessThan(1e-6);
        expect(fit?.trouble).toBeNull();
      }),
    );
  });

  it('says what can not be a calibration', () => {
    const at = (counts: number, scaleCm: number) => ({ counts, scaleCm });
    expect(fitCalibration([at(1, 2)])).toBeNull();
    expect(fitCalibration([at(1, 2), at(1, 3)])).toBeNull();
    expect(fitCalibration([at(-1e308, 0), at(1e308, 100)])).toBeNull();
    expect(fitCalibration([at(1, -1e308), at(2, 5), at(3, 1e308)])).toBeNull();
    expect(fitCalibration([at(1, 0), at(2, 50), at(2, 50)])?.trouble?.text).toContain('same mark');
    expect(fitCalibration([at(1, 0), at(9, 50), at(5, 100)])?.trouble?.text).toContain('do not follow');
    expect(fitCalibration([at(9, 0), at(5, 50), at(1, 100)])?.trouble).toBeNull();
    expect(fitCalibration([at(9, 0), at(1, 100)])?.standardDeviationCm).toBeNull();
  });
});

describe('the galvanometer', () => {
  it('gets its scale from a known current, with sign', () => {
    expect(galvanometerScale(2048, 2248, 10)).toBe(0.05);
    expect(galvanometerScale(2048, 1848, 10)).toBe(-0.05);
    expect(galvanometerScale(2048, 2048, 10)).toBeNull();
  });

  it('gets its scale from the front end', () => {
    // 5 V over 4096 counts, gain 100, shunt 10 ohm, by hand: 1.220703 mV / 100 / 10 ohm.
    expect(frontEndScale(5, 4096, 100, 10)).toBeCloseTo(1.220703125, 12);
  });
});
