import { stringify } from 'csv-stringify/sync';

export type CsvValue = string | number | boolean | null;

/**
 * RFC 4180: a header line, lines ended by CR LF, quotes where needed. A number stands at full precision, what is not known
 * is empty. A text that a spreadsheet would take for a formula gets an apostrophe before it, for recordings come from anywhere.
 */
export const csvText = (columns: readonly string[], rows: readonly (readonly CsvValue[])[]): string =>
  csvLines([columns, ...rows]);

/** The same without a header: what follows one. */
export function csvLines(rows: readonly (readonly CsvValue[])[]): string {
  return stringify(
    rows.map((row) => [...row]),
    {
      record_delimiter: 'windows',
      // a lone line feed is no delimiter to the library, but a line end to most readers
      quoted_match: /[\r\n]/,
      cast: {
        string: (value) => ({ value, escape_formulas: true }),
        boolean: (value) => String(value),
        number: (value) => String(value),
      },
    },
  );
}
