import { describe, expect, it } from 'vitest';
import type { Bench } from '../../bridge/bench/bench-file.ts';
import { readBench } from '../../bridge/bench/bench-file.ts';
import {
  correctedAmmeterMa,
  driverMa,
  galvanometerUa,
  positionScale,
} from '../../bridge/bench/calibration.ts';
import { BenchReader } from '../../bridge/bench/reading.ts';
import type { Sample } from '../../bridge/samples/board.ts';

function bench(changes: Record<string, unknown> = {}): Bench {
  const reading = readBench({
    format: 'tenwire-bench/1',
    wire: { rows: 10, rowLengthCm: 100, resistanceOhm: 20, zeroEnd: 'left' },
    position: {
      points: [
        { counts: 100, scaleCm: 0 },
        { counts: 1100, scaleCm: 40 },
        { counts: 4000, scaleCm: 100 },
      ],
      standardUncertaintyCm: 0.03,
    },
    galvanometer: { zeroCounts: 2048, microampsPerCount: 0.05, resistanceOhm: 120 },
    ammeter: { zeroCounts: 12, milliampsPerCount: 0.1, zeroCorrectionMa: -2 },
    ...changes,
  });
  if (!reading.ok) throw new Error(JSON.stringify(reading.faults));
  return reading.bench;
}

const sample = (parts: Partial<Sample> = {}): Sample => ({
  tUs: 2_500_000,
  afterGap: false,
  gal: 2100,
  galSaturated: 0,
  pos: 600,
  posSaturated: false,
  drv: 1012,
  drvSaturated: false,
  contact: true,
  cell: null,
  protect: null,
  load: null,
  row: null,
  ...parts,
});

const NOTHING = { cell: null, row: null, protect: false, load: false };

describe('calibration', () => {
  it('draws straight lines between the points and prolongs the outer ones', () => {
    const scale = positionScale(bench().position!);
    expect([100, 600, 1100, 2550, 4000].map(scale)).toEqual([0, 20, 40, 70, 100]);
    expect(scale(50)).toBeCloseTo(-2, 12);
    expect(scale(4029)).toBeCloseTo(100.6, 12);
  });

  it('reads falling counts and points in any order alike', () => {
    const points = [
      { counts: 4000, scaleCm: 0 },
      { counts: 1100, scaleCm: 60 },
      { counts: 100, scaleCm: 100 },
    ];
    for (const given of [points, [...points].reverse()]) {
      const scale = positionScale({ points: given, standardUncertaintyCm: 0.03, correlationCm: 15 });
      expect([4000, 2550, 1100, 600, 100].map(scale)).toEqual([0, 30, 60, 80, 100]);
    }
  });

  it('turns counts into currents as the format says, zero correction added to the eye too', () => {
    expect(galvanometerUa(bench(), 2048 + 40, 2048)).toBeCloseTo(2, 12);
    expect(driverMa(bench(), 1012)).toBeCloseTo(98, 12);
    expect(correctedAmmeterMa(bench(), 412)).toBe(410);
    expect(correctedAmmeterMa(bench({ ammeter: undefined }), 412)).toBe(412);
    expect(driverMa(bench({ ammeter: { zeroCounts: 3 } }), 1012)).toBeNull();
  });
});

describe('reading', () => {
  it('gives no place for a saturated position and no current for a saturated ammeter', () => {
    const reader = new BenchReader(bench());
    expect(reader.read(sample({ posSaturated: true }), NOTHING).scaleCm).toBeNull();
    expect(reader.read(sample({ drvSaturated: true }), NOTHING).driverMa).toBeNull();
    expect(reader.read(sample(), NOTHING)).toMatchObject({ tS: 2.5, scaleCm: 20, galCounts: 2100 });
    expect(new BenchReader(bench({ position: undefined })).read(sample(), NOTHING).scaleCm).toBeNull();
  });
});
