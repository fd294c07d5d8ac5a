import type { CsvValue } from './csv.ts';
import { csvLines } from './csv.ts';

/** Tables for other programs, each with metadata by the W3C's CSV on the Web beside it. */

type Datatype = 'string' | 'integer' | 'number' | 'boolean';

export interface Column<Row> {
  name: string;
  datatype: Datatype;
  unit: string | null;
  description: string;
  value(row: Row): CsvValue;
}

export interface CsvTable {
  csv: string;
  /** Fit for a file named like the table with `-metadata.json` after it, where the W3C's rules look for it. */
  metadata(url: string): object;
}

/** The names of a row's fields that a cell can hold as they are. */
type Plain<Row> = { [Name in keyof Row]: Row[Name] extends CsvValue ? Name : never }[keyof Row] & string;

/** A column of the field that is named as it is. */
export const field = <Row>(
  name: Plain<Row>,
  datatype: Datatype,
  unit: string | null,
  description: string,
): Column<Row> => ({ name, datatype, unit, description, value: (row) => row[name] as CsvValue });

export function tableOf<Row>(
  title: string,
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  primaryKey: string | string[],
): CsvTable {
  return {
    csv: headerLine(columns) + rowLines(columns, rows),
    metadata: (url) => metadataOf(url, title, columns, { primaryKey }),
  };
}

export const headerLine = (columns: readonly { name: string }[]): string =>
  csvLines([columns.map(({ name }) => name)]);

export const rowLines = <Row>(columns: readonly Column<Row>[], rows: readonly Row[]): string =>
  csvLines(rows.map((row) => columns.map((column) => column.value(row))));

export const metadataOf = (
  url: string,
  title: string,
  columns: readonly Column<never>[],
  schema: { primaryKey?: string | string[] } = {},
): object => ({
  '@context': ['http://www.w3.org/ns/csvw', { '@language': 'en' }],
  url,
  'dc:title': title,
  dialect: { header: true, encoding: 'utf-8', lineTerminators: ['\r\n'] },
  tableSchema: { columns: columns.map(columnMetadata), ...schema },
});

const columnMetadata = ({ name, datatype, unit, description }: Column<never>): object => ({
  name,
  titles: name,
  datatype,
  'dc:description': description,
  ...(unit === null ? {} : { 'schema:unitText': unit }),
});
