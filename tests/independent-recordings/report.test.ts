import { writeFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { readRun } from '../../bridge/report/read-run.ts';
import { reportJson } from '../../bridge/report/report-json.ts';
import type { MakeRun } from '../../bridge/session/make-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { temporaryFiles } from '../recording/temporary.ts';
import { begin, compare, SWEEPS, tapEnds } from './writer/student.ts';

/** A whole recording written outside, as a file, and what a script is told of it. */

describe('report --json of a recording from outside', () => {
  const path = temporaryFiles();
  let make: MakeRun;
  beforeAll(async () => {
    make = await runMaker();
  });

  it('gives lengths, sets and ratio within their stated uncertainties, and the counts', async () => {
    const run = begin({
      seed: 77,
      damagedShare: 0.002,
      board: { senses: 0, firstTUs: 4294967296 - 30e6, firstSeq: 61_000, bits: 12 },
      bench: { zeroEnd: 'right', points: 'falling', zeroOff: 14 },
    });
    run.setting.rheostatOhm = 6.5;
    run.lift(3);
    tapEnds(run);
    const truth = compare(run, { rheostatsOhm: [6.5, 8, 9.3, 10.5], fine: { ...SWEEPS, seconds: 3 } });
    run.lift(2);
    writeFileSync(path('outside.rec'), run.text);
    const read = await readRun(path('outside.rec'), make);
    if (!read.ok) throw new Error(read.text);
    const report = JSON.parse(JSON.stringify(reportJson(read.run)));
    expect(report).toMatchObject({
      format: 'tenwire-report/1',
      procedure: 'emf-comparison',
      stream: { samples: run.sound, badLines: run.damaged, boots: 1 },
    });
    expect(report.nulls).toHaveLength(16);
    expect(report.sets.map(({ set }: { set: number }) => set)).toEqual([1, 2, 3, 4]);
    for (const [index, set] of report.sets.entries()) {
      expect(Math.abs(set.l1Cm - truth[index].l1Cm)).toBeLessThan(3.5 * set.u1Cm);
      expect(Math.abs(set.l2Cm - truth[index].l2Cm)).toBeLessThan(3.5 * set.u2Cm);
      expect(set.uRead1Cm).toBeLessThan(set.u1Cm);
      expect(Math.abs(set.driverMa / truth[index].driverMa - 1)).toBeLessThan(1e-3);
      expect(set.ratio).toBeCloseTo(set.l1Cm / set.l2Cm, 9);
    }
    const { circuit } = run.bench;
    const alphaCm = (circuit.endAOhm * circuit.wireCm) / circuit.wireOhm;
    expect(report.result).toMatchObject({ quantity: 'E1/E2', unit: '1', coverage: 0.95 });
    expect(Math.abs(report.result.value - circuit.cells[1].emfV / circuit.cells[2].emfV)).toBeLessThan(
      report.result.U,
    );
    expect(report.result.U).toBeCloseTo(report.result.k * report.result.u, 12);
    expect(Math.abs(report.endCorrectionCm.value - alphaCm)).toBeLessThan(3 * report.endCorrectionCm.u);
  });
});
