import { parse } from 'csv-parse/sync';
import { beforeAll, describe, expect, it } from 'vitest';
import { classCsv, classSpread } from '../../bridge/report/class-table.ts';
import { csvText } from '../../bridge/report/csv.ts';
import { nullsTable, setsTable } from '../../bridge/report/observations-csv.ts';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { comparisonOf } from '../run/work-of.ts';
import { eye, fixtureRun, runOfEvents } from './runs.ts';

/** Read back by a parser that is not ours. */
const read = (csv: string): Record<string, string>[] => parse(csv, { columns: true });

describe('CSV as RFC 4180 has it', () => {
  it('ends every line with CR LF and quotes commas, quotes and line feeds (RFC 4180, 2.1, 2.6, 2.7)', () => {
    expect(csvText(['a', 'b'], [['x,y', 'he said "no"']])).toBe('a,b\r\n"x,y","he said ""no"""\r\n');
    expect(csvText(['a'], [['two\nlines']])).toBe('a\r\n"two\nlines"\r\n');
  });

  it('gives numbers at full precision, and nothing for what is not known', () => {
    expect(csvText(['a', 'b', 'c'], [[0.1 + 0.2, null, -1.5]])).toBe(
      'a,b,c\r\n0.30000000000000004,,-1.5\r\n',
    );
  });

  it('gives a spreadsheet no formula that stands in a recorded text', () => {
    for (const evil of ['=1+1', '+1', '-1', '@SUM(A1)'])
      expect(csvText(['a'], [[evil]])).toBe(`a\r\n'${evil}\r\n`);
  });
});

describe('observations', () => {
  let comparison: ReportedRun;
  let resistance: ReportedRun;
  beforeAll(async () => {
    comparison = await fixtureRun('comparison-four-sets.rec');
    resistance = await fixtureRun('internal-resistance.rec');
  });

  it('come back as they went in', () => {
    for (const { view } of [comparison, resistance]) {
      const sets = read(setsTable(view).csv);
      expect(sets.length).toBe(view.work.sets.length);
      sets.forEach((row, index) => {
        for (const [name, value] of Object.entries(view.work.sets[index]))
          expect(row[name], name).toBe(value === null ? '' : String(value));
      });
      const nulls = read(nullsTable(view).csv);
      expect(nulls.map((row) => row.null)).toEqual(view.nulls.map((found) => found.id));
      expect(nulls.map((row) => row.whyNot)).toEqual(view.nulls.map((found) => found.whyNot?.text ?? ''));
    }
  });

  // Metadata Vocabulary for Tabular Data (W3C Recommendation, 17 December 2015), sections 5.1 to 5.6
  it('carry metadata that names every column in order, with datatypes of the recommendation', () => {
    for (const table of [
      setsTable(comparison.view),
      nullsTable(comparison.view),
      setsTable(resistance.view),
    ]) {
      const metadata = table.metadata('observations.csv') as {
        '@context': [string, object];
        url: string;
        dialect: { lineTerminators: string[] };
        tableSchema: { columns: { name: string; datatype: string }[]; primaryKey: string | string[] };
      };
      expect(metadata['@context'][0]).toBe('http://www.w3.org/ns/csvw');
      expect(metadata.url).toBe('observations.csv');
      const { columns, primaryKey } = metadata.tableSchema;
      const [head] = parse(table.csv, { to: 1 }) as string[][];
      expect(columns.map((column) => column.name)).toEqual(head);
      for (const { datatype } of columns)
        expect(['string', 'integer', 'number', 'boolean']).toContain(datatype);
      const rows = read(table.csv);
      const keys = rows.map((row) =>
        [primaryKey]
          .flat()
          .map((name) => row[name])
          .join(),
      );
      expect(new Set(keys).size).toBe(rows.length);
      for (const { name, datatype } of columns) {
        for (const row of rows) expect(row[name], name).toMatch(LEXICAL[datatype]);
      }
    }
  });
});

/** XML Schema 1.1 part 2, as the recommendation refers to it; empty is its null. */
const LEXICAL: Record<string, RegExp> = {
  string: /^.*$/s,
  integer: /^([+-]?\d+)?$/,
  number: /^([+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?)?$/,
  boolean: /^(true|false)?$/,
};

describe('the table of a class', () => {
  const pair = (by: string, off: number) =>
    runOfEvents([
      { kind: 'bench', bench: INVENTED_BENCH },
      { kind: 'about', startedUtc: '2026-03-02T09:30:00Z', by: [by] },
      eye(1, 1, 6, 40 - off),
      eye(2, 1, 5, 70),
    ]);

  it('has a row for each run and one for the spread of the class', () => {
    const runs = [-0.2, 0, 0.4].map((off, index) => ({
      file: `${index}.rec`,
      run: pair(`pair ${index}`, off),
    }));
    const rows = read(classCsv(runs));
    expect(rows.map((row) => row.row)).toEqual(['run', 'run', 'run', 'class']);
    expect(rows.map((row) => row.by)).toEqual(['pair 0', 'pair 1', 'pair 2', '']);
    const values = rows.slice(0, 3).map((row) => Number(row.value));
    const mean = (values[0] + values[1] + values[2]) / 3;
    const s = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / 2);
    expect(Number(rows[3].value)).toBeCloseTo(mean, 12);
    expect(Number(rows[3].standardDeviation)).toBeCloseTo(s, 12);
    expect(Number(rows[2].offMean)).toBeCloseTo(values[2] - mean, 12);
    expect(Number(rows[2].offMeanPerU)).toBeCloseTo((values[2] - mean) / Number(rows[2].U), 12);
    expect(rows[0].findings).toContain('too-few-sets');
  });

  it('keeps a run without a result, and leaves it out of the spread', () => {
    const runs = [
      { file: 'a.rec', run: pair('pair 1', 0) },
      { file: 'b.rec', run: runOfEvents([]) },
    ];
    const rows = read(classCsv(runs));
    expect(rows.map((row) => row.row)).toEqual(['run', 'run', 'class']);
    expect(rows[1]).toMatchObject({ file: 'b.rec', value: '', findings: 'bench-unknown' });
    expect(classSpread(runs)).toMatchObject([{ quantity: 'E1/E2', runs: 1, standardDeviation: null }]);
  });

  it('has the EMF by a reference cell in a row of its own, with the spread of the class', () => {
    const cells = (emfV: number) => ({ '2': { reference: { emfV, standardUncertaintyV: 0.0001 } } });
    const against = (emfV: number) =>
      runOfEvents([
        { kind: 'bench', bench: { ...INVENTED_BENCH, protectiveResistanceOhm: 100_000, cells: cells(emfV) } },
        { kind: 'about', by: [`against ${emfV}`] },
        ...[eye(1, 1, 6, 40), eye(2, 1, 5, 70), eye(1, 2, 8, 20), eye(2, 2, 6, 12)],
      ]);
    const runs = [1.0186, 1.0191].map((emfV) => ({ file: `${emfV}.rec`, run: against(emfV) }));
    const rows = read(classCsv([...runs, { file: 'plain.rec', run: pair('pair 1', 0) }]));
    expect(rows.map(({ row, quantity }) => `${row} ${quantity}`)).toEqual([
      ...['run E1/E2', 'emf E1', 'run E1/E2', 'emf E1', 'run E1/E2'],
      ...['class E1/E2', 'class E1'],
    ]);
    const [ratio, emf] = rows;
    const found = comparisonOf(runs[0].run.view).emf?.result;
    if (found == null) throw new Error('these lengths give an EMF');
    expect(emf).toMatchObject({
      by: 'against 1.0186',
      unit: 'V',
      value: String(found.value),
      U: String(found.U),
    });
    expect(emf.check).toMatch(/^(agrees|differs)$/);
    // counted once for each recording
    expect([ratio.sets, emf.sets, emf.findings]).toEqual(['2', '', '']);
    const mean = rows.at(-1);
    expect(mean).toMatchObject({ unit: 'V', runs: '2' });
    expect(Number(emf.offMean)).toBeCloseTo(Number(emf.value) - Number(mean?.value), 12);
    expect(Number(mean?.standardDeviation)).toBeCloseTo((0.0005 * Number(ratio.value)) / Math.SQRT2, 9);
  });
});
