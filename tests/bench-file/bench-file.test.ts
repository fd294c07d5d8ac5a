import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { describeFaults, readBench } from '../../bridge/bench/bench-file.ts';
import { knowledgeOf } from '../../bridge/run/bench-knowledge.ts';

const example = () =>
  JSON.parse(readFileSync(new URL('../../fixtures/bench-example.json', import.meta.url), 'utf8'));

type Change = (bench: ReturnType<typeof example>) => void;

function faultsAfter(change: Change): (string | null)[] {
  const bench = example();
  change(bench);
  const reading = readBench(bench);
  return reading.ok ? [] : reading.faults.map(({ path }) => path);
}

describe('bench file', () => {
  it('is read as it stands', () => {
    expect(readBench(example()).ok).toBe(true);
  });

  it('names what is missing or senseless by its path', () => {
    const cases: [Change, string][] = [
      [(bench) => delete bench.format, 'format'],
      [(bench) => delete bench.wire, 'wire'],
      [(bench) => delete bench.wire.rows, 'wire.rows'],
      [(bench) => (bench.wire.rows = 0), 'wire.rows'],
      [(bench) => (bench.wire.rows = 7.5), 'wire.rows'],
      [(bench) => (bench.wire.rowLengthCm = '100'), 'wire.rowLengthCm'],
      [(bench) => (bench.wire.resistanceOhm = -20), 'wire.resistanceOhm'],
      [(bench) => (bench.wire.zeroEnd = 'top'), 'wire.zeroEnd'],
      [(bench) => (bench.wire.uniformityRelative = -1), 'wire.uniformityRelative'],
      [(bench) => (bench.wire.uniformityRelative = 1), 'wire.uniformityRelative'],
      [(bench) => (bench.wire.rowSpreadRelative = '2 %'), 'wire.rowSpreadRelative'],
      [(bench) => (bench.cells['2'].steadyRelativePerMin = -1e-4), 'cells.2.steadyRelativePerMin'],
      [(bench) => bench.position.points.pop() && bench.position.points.splice(1), 'position.points'],
      [(bench) => (bench.position.points[1].counts = null), 'position.points.1.counts'],
      [(bench) => (bench.position.points[1].counts = bench.position.points[0].counts), 'position.points'],
      [(bench) => delete bench.position.standardUncertaintyCm, 'position.standardUncertaintyCm'],
      [(bench) => (bench.position.correlationCm = 0), 'position.correlationCm'],
      [(bench) => (bench.galvanometer.microampsPerCount = 0), 'galvanometer.microampsPerCount'],
      [(bench) => delete bench.galvanometer.zeroCounts, 'galvanometer.zeroCounts'],
      [(bench) => (bench.cells['1'].voltmeterV = 'full'), 'cells.1.voltmeterV'],
      [(bench) => (bench.cells['2'].reference = { standardUncertaintyV: 0 }), 'cells.2.reference.emfV'],
      [(bench) => (bench.cells['2'].reference = { emfV: 1.0186 }), 'cells.2.reference.standardUncertaintyV'],
      [
        (bench) => {
          const weston = { formula: 'mine' };
          bench.cells['2'].reference = { emfV: 1.0186, standardUncertaintyV: 0, weston };
        },
        'cells.2.reference.weston.formula',
      ],
      [
        (bench) => (bench.wire.turnCorrectionCm = { valueCm: 0, standardUncertaintyCm: -1 }),
        'wire.turnCorrectionCm.standardUncertaintyCm',
      ],
      [(bench) => (bench.thermalEmfUv = -5), 'thermalEmfUv'],
      [(bench) => (bench.endCorrection = { valueCm: 0 }), 'endCorrection.standardUncertaintyCm'],
    ];
    for (const [change, path] of cases) expect(faultsAfter(change), path).toEqual([path]);
  });

  it('takes calibration points in any order, but not two scale readings for one count or a turn back', () => {
    const points = (list: [number, number][]) =>
      faultsAfter((bench) => {
        bench.position.points = list.map(([counts, scaleCm]) => ({ counts, scaleCm }));
      });
    expect(
      points([
        [100, 0],
        [4000, 100],
        [2000, 47],
      ]),
    ).toEqual([]);
    expect(
      points([
        [4000, 0],
        [100, 100],
        [2000, 47],
      ]),
    ).toEqual([]);
    expect(
      points([
        [100, 0],
        [4000, 100],
        [100, 47],
      ]),
    ).toEqual(['position.points']);
    expect(
      points([
        [100, 0],
        [4000, 100],
        [2000, 120],
      ]),
    ).toEqual(['position.points']);
    expect(
      points([
        [100, 10],
        [4000, 10],
      ]),
    ).toEqual(['position.points']);
  });

  it('says what it found where a group of fields should be', () => {
    const bench = example();
    bench.wire = 5;
    const reading = readBench(bench);
    expect(reading.ok ? '' : describeFaults(reading.faults).text).toBe(
      'wire: a group of fields in braces (found 5)',
    );
  });

  it('never throws, whatever it is given', () => {
    for (const value of [null, undefined, 7, 'bench', [], {}, { wire: [] }, { position: { points: {} } }]) {
      const reading = readBench(value);
      expect(reading.ok).toBe(false);
      if (!reading.ok) expect(describeFaults(reading.faults).text).not.toBe('');
    }
  });

  it('keeps and passes on fields that it does not know, at every depth', () => {
    const bench = example();
    bench.room = '12';
    bench.wire.alloy = 'manganin';
    bench.position.points[0].by = 'clamp';
    const reading = readBench(bench);
    expect(reading.ok && reading.bench).toMatchObject({
      room: '12',
      wire: { alloy: 'manganin' },
      position: { points: [{ by: 'clamp' }, {}, {}] },
    });
  });

  it("leaves out what nobody stated of the wire, its ends and the cells: a default is the calculation's to take", () => {
    const { format, wire, galvanometer } = example();
    const { rows, rowLengthCm, resistanceOhm, zeroEnd } = wire;
    const bare = {
      format,
      wire: { rows, rowLengthCm, resistanceOhm, zeroEnd },
      galvanometer,
      cells: { '1': {} },
    };
    const reading = readBench(bare);
    expect(reading.ok && knowledgeOf(reading.bench)).toEqual({
      wireLengthCm: 1000,
      rowLengthCm: 100,
      wireResistanceOhm: resistanceOhm,
      position: null,
      endCorrection: null,
      uniformityRelative: null,
      rowSpreadRelative: null,
      turnCorrectionCm: null,
      thermalEmfUv: null,
      steadyRelativePerMin: { 1: null, 2: null },
    });
  });

  it('fills in what the format gives a default', () => {
    const { wire, galvanometer, position } = example();
    delete position.correlationCm;
    const reading = readBench({ format: 'tenwire-bench/1', wire, position, galvanometer, ammeter: {} });
    expect(reading.ok && knowledgeOf(reading.bench).position?.correlationCm).toBe(15);
    expect(reading.ok && reading.bench).toMatchObject({
      ammeter: { zeroCounts: 0, zeroCorrectionMa: 0 },
    });
  });
});
