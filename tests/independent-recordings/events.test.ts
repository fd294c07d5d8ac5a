import { describe, expect, it } from 'vitest';
import { resistanceOf } from '../run/work-of.ts';
import { codes, viewOf } from './fold-text.ts';
import { ALL, CELL, CONTACT, LOAD, ROW } from './writer/board.ts';
import type { OutsideRun } from './writer/run.ts';
import { begin, compare, fineNull, SWEEPS, takeSet } from './writer/student.ts';

/** Operator events in recordings written by the independent writer: sets, cells, rows, rejections, lengths by eye, loads; and words taken back. */

const QUICK = { ...SWEEPS, seconds: 2 };

/** Both cells once at two settings of the rheostat: n1 to n4 in set 1, n5 to n8 in set 2. */
function twoSets(
  how: Parameters<typeof compare>[1] = {},
  choice: Parameters<typeof begin>[0] = {},
): OutsideRun {
  const run = begin(choice);
  compare(run, { fine: QUICK, ...how });
  run.lift(2);
  return run;
}

const setsOf = (run: OutsideRun) => viewOf(run.text).nulls.map(({ set }) => set);
const used = (run: OutsideRun) =>
  viewOf(run.text)
    .nulls.filter((nullPoint) => nullPoint.used)
    .map(({ id }) => id);

describe('sets', () => {
  it('are numbered by the driver current where nobody says them, to the current that was true', () => {
    for (const opensKey of [false, true]) {
      const run = begin();
      const truth = compare(run, { rheostatsOhm: [8, 10.5, 6.5], fine: QUICK, opensKey });
      run.lift(2);
      const { work, nulls } = viewOf(run.text);
      expect(nulls.map(({ set }) => set)).toEqual([1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3]);
      work.sets.forEach((set, index) => {
        expect(Math.abs(set.driverMa! / truth[index].driverMa - 1)).toBeLessThan(1e-3);
      });
    }
  });

  it('are numbered by set events once there is one, whatever the current does', () => {
    const run = begin();
    compare(run, { rheostatsOhm: [8], fine: QUICK });
    run.message({ kind: 'set', set: 5 });
    takeSet(run, 5, { fine: QUICK });
    run.useRheostat(10.5);
    takeSet(run, 5, { fine: QUICK });
    run.lift(2);
    expect(setsOf(run)).toEqual([1, 1, 1, 1, 5, 5, 5, 5, 5, 5, 5, 5]);
    expect(codes(viewOf(run.text))).toContain('driver-changed-within-set');
  });

  it('go by the current again once the set event is undone', () => {
    const run = begin();
    const number = run.message({ kind: 'set', set: 4 });
    compare(run, { fine: QUICK });
    expect(setsOf(run)).toEqual([4, 4, 4, 4, 4, 4, 4, 4]);
    run.message({ kind: 'undo', event: number });
    expect(setsOf(run)).toEqual([1, 1, 1, 1, 2, 2, 2, 2]);
  });

  it('are found by the current at a board that senses nothing and has no position sensor, lengths read by eye', () => {
    const run = begin({ board: { senses: 0, channels: ['gal', 'drv'] } });
    for (const [index, ohm] of [8, 10.5].entries()) {
      if (index > 0) run.useRheostat(ohm);
      for (const cell of [1, 2])
        run.message({ kind: 'length', cell, row: 7, scaleCm: 40 + 3 * cell + index });
      run.lift(3);
    }
    expect(setsOf(run)).toEqual([1, 1, 2, 2]);
  });
});

describe('events about nulls', () => {
  it('reject, restore and reject again; the last one that stands holds', () => {
    const run = twoSets();
    run.message({ kind: 'reject', null: 'n2', reason: 'slipped' });
    expect(used(run)).not.toContain('n2');
    expect(viewOf(run.text).nulls[1]).toMatchObject({ rejected: 'slipped', used: false });
    const restored = run.message({ kind: 'restore', null: 'n2' });
    expect(used(run)).toContain('n2');
    const undo = run.message({ kind: 'undo', event: restored });
    expect(used(run)).not.toContain('n2');
    run.message({ kind: 'undo', event: undo });
    expect(used(run)).toContain('n2');
  });

  it('move a null to another cell, row or set, each for itself, and back', () => {
    const run = twoSets();
    const [before] = viewOf(run.text).nulls;
    const cell = run.message({ kind: 'assign', null: 'n1', cell: 2 });
    run.message({ kind: 'assign', null: 'n1', row: before.row! + 1, set: 2 });
    const [moved] = viewOf(run.text).nulls;
    expect(moved).toMatchObject({ id: 'n1', cell: 2, set: 2, row: before.row! + 1 });
    // The next row runs the other way from the same scale reading.
    const alongRow = before.lengthCm! - 100 * (before.row! - 1);
    expect(moved.lengthCm).toBeCloseTo(100 * (before.row! + 1) - alongRow, 3);
    run.message({ kind: 'undo', event: cell });
    expect(viewOf(run.text).nulls[0]).toMatchObject({ cell: 1, set: 2, row: before.row! + 1 });
  });

  it('mean nothing for nulls that there are not', () => {
    const run = twoSets();
    const before = viewOf(run.text).nulls;
    run.message({ kind: 'reject', null: 'n99', reason: 'no such' });
    run.message({ kind: 'assign', null: 'n77', cell: 1 });
    expect(viewOf(run.text).nulls).toEqual(before);
  });

  it('taken back long after still change what was labelled by them', () => {
    const run = begin({ board: { senses: ALL & ~CELL } });
    run.useCell(1);
    fineNull(run, QUICK);
    const wrong = run.message({ kind: 'cell', cell: 2 });
    fineNull(run, QUICK);
    run.lift(2);
    expect(viewOf(run.text).nulls.map(({ cell }) => cell)).toEqual([1, 1, 2, 2]);
    run.message({ kind: 'undo', event: wrong });
    expect(viewOf(run.text).nulls.map(({ cell }) => cell)).toEqual([1, 1, 1, 1]);
  });

  it('are missed where board and people say neither row nor cell', () => {
    const run = begin({ board: { senses: CONTACT } });
    fineNull(run, QUICK);
    run.lift(2);
    const text = run.lines.filter((line) => !/"(row|cell)"/.test(line)).join('\n');
    const view = viewOf(`${text}\n`);
    expect(codes(view)).toEqual(expect.arrayContaining(['row-unknown', 'cell-unknown']));
    expect(view.nulls.map(({ row, cell, lengthCm, used: counts }) => [row, cell, lengthCm, counts])).toEqual([
      [null, null, null, false],
      [null, null, null, false],
    ]);
  });

  it('keep their names where a bench is put right and where that is taken back', () => {
    const run = twoSets();
    const ids = viewOf(run.text).nulls.map(({ id }) => id);
    const again = run.message({ kind: 'bench', bench: { ...run.bench.file, name: 'renamed' } });
    expect(viewOf(run.text).bench?.name).toBe('renamed');
    expect(viewOf(run.text).nulls.map(({ id }) => id)).toEqual(ids);
    run.message({ kind: 'undo', event: again });
    expect(viewOf(run.text).bench?.name).toBe('outside bench (invented)');
    expect(viewOf(run.text).nulls.map(({ id }) => id)).toEqual(ids);
  });
});

describe('lengths by eye', () => {
  it('are observations like any other, and two sets of them give a result', () => {
    const run = begin({ board: { senses: 0, channels: ['gal'] } });
    const read = [
      [1, 8, 37.4],
      [2, 7, 2.1],
    ];
    for (const set of [1, 2])
      for (const [cell, row, scaleCm] of read)
        run.message({ kind: 'length', cell, set, row, scaleCm: scaleCm - 0.02 * set, uCm: 0.05 });
    run.lift(1);
    const view = viewOf(run.text);
    // Row 8 runs against the scale, row 7 with it.
    expect(view.nulls.map(({ by, lengthCm, uCm }) => [by, lengthCm, uCm])).toEqual([
      ['eye', 800 - 37.38, 0.05],
      ['eye', 602.08, 0.05],
      ['eye', 800 - 37.36, 0.05],
      ['eye', 602.06, 0.05],
    ]);
    expect(view.work.outcome?.result?.value).toBeCloseTo(762.63 / 602.07, 3);
  });

  it('taken back leave the names of the others alone', () => {
    const run = begin();
    const slip = run.message({ kind: 'length', cell: 1, set: 1, row: 7, scaleCm: 98 });
    fineNull(run, QUICK);
    run.lift(2);
    run.message({ kind: 'undo', event: slip });
    expect(viewOf(run.text).nulls.map(({ id, by }) => `${id} ${by}`)).toEqual(['n2 sweep', 'n3 sweep']);
  });
});

describe('internal resistance', () => {
  function loads(run: OutsideRun, ohms: number[], cell: 1 | 2 = 1): OutsideRun {
    run.message({ kind: 'procedure', procedure: 'internal-resistance' });
    run.useCell(cell);
    run.lift(3);
    fineNull(run, QUICK);
    for (const ohm of ohms) {
      run.useLoad(ohm);
      run.lift(0.5);
      fineNull(run, QUICK);
    }
    run.useLoad(null);
    run.lift(2);
    return run;
  }

  it.each([
    ['with the load key sensed', ALL],
    ['with load events', ALL & ~LOAD],
    ['with nothing sensed', 0],
    ['without a word on the cell', ALL & ~CELL & ~ROW],
  ])('gives one row for each load at one driver current, %s', (expectedText, senses) => {
    const run = loads(begin({ board: { senses } }), [22, 10, 4.7]);
    const text = expectedText.includes('without') ? run.text.replace(/^.*"kind":"cell".*\n/gm, '') : run.text;
    const view = viewOf(text);
    const { sets, outcome } = resistanceOf(view);
    expect(sets.map((row) => [row.set, row.loadOhm])).toEqual([
      [1, 22],
      [1, 10],
      [1, 4.7],
    ]);
    const truth = run.bench.circuit.cells[1].ohm;
    for (const row of sets) expect(Math.abs(row.rOhm! - truth)).toBeLessThan(3 * row.uROhm!);
    const result = outcome?.result;
    expect(Math.abs(result!.value - truth)).toBeLessThan(result!.U * 1.5);
    expect(codes(view)).not.toContain('cell-unknown');
  });

  it('does not mix in nulls of the other cell', () => {
    const run = loads(begin(), [10, 4.7]);
    run.useCell(2);
    run.lift(0.5);
    fineNull(run, QUICK);
    run.lift(2);
    const view = viewOf(run.text);
    const other = view.nulls.filter(({ cell }) => cell === 2);
    expect(other.map((nullPoint) => nullPoint.whyNot?.text)).toEqual(
      Array(2).fill('this run measures the internal resistance of cell 1'),
    );
    expect(Math.abs(view.work.outcome!.result!.value - 0.6)).toBeLessThan(0.05);
  });

  it('keeps loaded nulls out of a comparison of EMFs', () => {
    const run = begin();
    run.useLoad(10);
    fineNull(run, QUICK);
    run.lift(2);
    expect(viewOf(run.text).nulls.map(({ load, used: counts }) => [load, counts])).toEqual([
      [true, false],
      [true, false],
    ]);
  });
});
