import { parse } from 'csv-parse/sync';
import { beforeAll, describe, expect, it } from 'vitest';
import { csvText } from '../../bridge/report/csv.ts';
import { nullsTable, setsTable } from '../../bridge/report/observations-csv.ts';
import type { ReportedRun } from '../../bridge/report/read-run.ts';
import { fixtureRun } from './runs.ts';

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
