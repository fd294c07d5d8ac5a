import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { centreOf, classGroups, type StatedValue } from '../../bridge/report/class-groups.ts';
import { classJson } from '../../bridge/report/class-json.ts';
import { classCsv } from '../../bridge/report/class-table.ts';
import { classPage } from '../../bridge/report/page/class-page.tsx';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { boardGroups } from '../../bridge/room/class-results.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { comparisonOf } from '../run/work-of.ts';
import { eye, runOfEvents } from './runs.ts';

const LABELLED = { '1': { label: 'cell A (invented)' }, '2': { label: 'cell B (invented)' } };

/** A pair of cells at a bench: `offCm` moves one length, and with it the ratio. */
function runAt(bench: string, offCm: number, cells: object = LABELLED): ReportedRun {
  return runOfEvents([
    { kind: 'bench', bench: { ...INVENTED_BENCH, name: bench, cells } },
    { kind: 'about', startedUtc: '2026-03-02T09:30:00Z', by: [`pair at ${bench}`] },
    eye(1, 1, 6, 40 - offCm),
    eye(2, 1, 5, 70),
  ]);
}

function tableOf(runs: readonly ReportedRun[], stated: StatedValue | null = null) {
  const named = runs.map(({ view }, index) => ({ file: `${index}.rec`, view }));
  const groups = classGroups(named, stated);
  const rows: Record<string, string>[] = parse(classCsv(named, groups), { columns: true });
  return { groups, rows };
}

const ratioOf = ({ view }: ReportedRun): number => comparisonOf(view).outcome?.result?.value ?? Number.NaN;

describe('the table of a class', () => {
  it('groups runs by the labels of their cells, and never pools different cells', () => {
    const other = { '1': { label: 'cell C (invented)' }, '2': LABELLED['2'] };
    const { groups } = tableOf([runAt('1', 0), runAt('2', 0.2), runAt('3', 30, other)]);
    expect(groups.map(({ measurand, results }) => [measurand.text, results.length])).toEqual([
      ['E1/E2, cell A (invented) over cell B (invented)', 2],
      ['E1/E2, cell C (invented) over cell B (invented)', 1],
    ]);
  });

  it('takes cells without labels for those of their bench alone', () => {
    const { groups } = tableOf([runAt('1', 0, {}), runAt('1', 0.1, {}), runAt('2', 0, {})]);
    expect(groups.map(({ results }) => results.length)).toEqual([2, 1]);
  });

  it('compares each run with the group without it', () => {
    const runs = [runAt('1', 0), runAt('2', 0.2), runAt('3', -4)];
    const [a, b, c] = runs.map(ratioOf);
    const { rows } = tableOf(runs);
    expect(rows.map(({ row }) => row)).toEqual(['run', 'run', 'run', 'bench', 'bench', 'bench', 'group']);
    expect(Number(rows[2].offOthers)).toBeCloseTo(c - (a + b) / 2, 5);
    expect(Number(rows[0].offOthers)).toBeCloseTo(a - (b + c) / 2, 5);
    const { offOthers, offOthersPerU, U } = rows[2];
    expect(Number(offOthersPerU)).toBeCloseTo(Number(offOthers) / Number(U), 1);
  });

  it('says nothing of repeatability where no bench has two runs, and gives it where one has', () => {
    const single = tableOf([runAt('1', 0), runAt('2', 0.2)]).rows.at(-1);
    expect(single).toMatchObject({
      row: 'group',
      runs: '2',
      benches: '2',
      repeatability: '',
      reproducibility: '',
    });
    const runs = [runAt('1', 0), runAt('1', 0.2), runAt('2', 1)];
    const { rows } = tableOf(runs);
    expect(Number(rows.at(-1)?.repeatability)).toBeCloseTo(
      Math.abs(ratioOf(runs[0]) - ratioOf(runs[1])) / Math.SQRT2,
      6,
    );
    expect(rows.find(({ bench, row }) => row === 'bench' && bench === '1')?.mandelK).toBe('');
  });

  it('tells a bench that lies off, and keeps it', () => {
    const runs = ['1', '2', '3', '4', '5', '6', '7'].map((bench, at) =>
      runAt(bench, at === 4 ? -30 : 0.1 * (at % 3)),
    );
    const { rows, groups } = tableOf(runs);
    expect(rows.at(-1)).toMatchObject({
      runs: '7',
      remark: '5 lies off the other benches (Grubbs: outlier)',
    });
    expect(rows.find(({ bench, row }) => row === 'bench' && bench === '5')?.remark).toBe('mean: outlier');
    expect(groups[0].centre.by).toBe('median');
    expect(groups[0].centre.value).toBeCloseTo(ratioOf(runs[0]), 3);
  });

  it('is told on the board of a room with what the runs of that bench say of the cause', () => {
    const runs = ['1', '2', '3', '4', '5', '6', '7'].map((bench, at) =>
      runAt(bench, at === 4 ? -30 : 0.1 * (at % 3)),
    );
    const [group] = boardGroups(runs.map(({ view }, at) => ({ station: `station-${at}`, view })));
    expect(group.results).toHaveLength(7);
    expect(group.results[4]).toMatchObject({ bench: '5', station: 'station-4' });
    const said = runs[4].view.findings.filter(({ severity }) => severity !== 'note');
    expect(group.remarks).toHaveLength(1);
    expect(group.remarks[0].text).toMatch(/^5 lies off the other benches \(Grubbs: outlier\); its own run /);
    for (const { text } of said) expect(group.remarks[0].text).toContain(text);
  });

  it('is the same as JSON, to the last digit', () => {
    const runs = [runAt('1', 0), runAt('2', 0.2)];
    const { groups } = tableOf(runs);
    const { groups: told, program } = JSON.parse(classJson(groups));
    expect(program.name).toBe('tenwire');
    expect(told[0]).toMatchObject({ measurand: groups[0].measurand.text, centre: groups[0].centre });
    expect(
      told[0].results.map(({ value, bench }: { value: number; bench: string }) => [bench, value]),
    ).toEqual([
      ['1', ratioOf(runs[0])],
      ['2', ratioOf(runs[1])],
    ]);
  });

  it('takes algorithm A for the value from eight results on', () => {
    expect(centreOf([1, 2, 3, 4, 5, 6, 7]).by).toBe('median');
    expect(centreOf([1, 2, 3, 4, 5, 6, 7, 800])).toMatchObject({ by: 'algorithm A' });
    expect(centreOf([1, 2, 3, 4, 5, 6, 7, 800]).value).toBeLessThan(6);
  });

  it('counts a recording that was given twice once', () => {
    const { rows } = tableOf([runAt('1', 0), runAt('2', 0.3), runAt('1', 0)]);
    expect(rows[2]).toMatchObject({ row: 'run', copyOf: '0.rec' });
    expect(rows.at(-1)).toMatchObject({ runs: '2' });
  });

  it('gives En only against a stated value of the one thing measured', () => {
    const run = runAt('1', 0);
    const U = comparisonOf(run.view).outcome?.result?.U ?? Number.NaN;
    const stated = { value: ratioOf(run) - 0.002, U: 0.001 };
    expect(Number(tableOf([run], stated).rows[0].en)).toBeCloseTo(0.002 / Math.hypot(U, 0.001), 3);
    expect(tableOf([run]).rows[0].en).toBe('');
    expect(tableOf([run, runAt('2', 0, {})], stated).rows[0].en).toBe('');
  });

  it('keeps a run without a result, and prints no digit that nobody could state', () => {
    const { rows } = tableOf([runAt('1', 0), runOfEvents([])]);
    expect(rows[1]).toMatchObject({ row: 'run', file: '1.rec', value: '', findings: 'bench-unknown' });
    for (const cell of rows.flatMap((row) => Object.values(row)).filter((text) => /^-?\d+\.\d+$/.test(text)))
      expect(cell.replace(/^-?0?\.?0*/, '').length).toBeLessThanOrEqual(9);
  });

  it('has the EMF by a reference cell in a row of its own', () => {
    const cells = (emfV: number) => ({
      ...LABELLED,
      '2': { ...LABELLED['2'], reference: { emfV, standardUncertaintyV: 1e-4 } },
    });
    const against = (emfV: number) =>
      runOfEvents([
        { kind: 'bench', bench: { ...INVENTED_BENCH, protectiveResistanceOhm: 100_000, cells: cells(emfV) } },
        { kind: 'about', by: [`against ${emfV}`] },
        ...[eye(1, 1, 6, 40), eye(2, 1, 5, 70), eye(1, 2, 8, 20), eye(2, 2, 6, 12)],
      ]);
    const { rows, groups } = tableOf([against(1.0186), against(1.0191)]);
    expect(rows.slice(0, 4).map(({ row, quantity }) => `${row} ${quantity}`)).toEqual([
      ...['run E1/E2', 'emf E1', 'run E1/E2', 'emf E1'],
    ]);
    expect(groups.map(({ measurand }) => measurand.text)).toEqual([
      'E1/E2, cell A (invented) over cell B (invented)',
      'EMF, cell A (invented)',
    ]);
    // counted once for each recording
    expect([rows[0].sets, rows[1].sets, rows[1].findings]).toEqual(['2', '', '']);
  });

  it('stands on one page for print, with runs that gave no result by themselves and each record behind it', () => {
    const noNull = runOfEvents([{ kind: 'bench', bench: { ...INVENTED_BENCH, name: '9' } }]);
    const runs = [runAt('1', 0), runAt('2', 0.2), runAt('1', 0), noNull];
    const page = classPage(runs.map((run, index) => ({ ...run, file: `${index}.rec` })));
    expect(page.match(/<article>/g)).toHaveLength(4);
    expect(page).toContain('copy of 0.rec');
    expect(page).toContain('2 runs at 2 benches');
    expect(page).toMatch(/Runs without a result.*3\.rec/s);
    expect(page).not.toMatch(/NaN|undefined|<script/);
  });
});
