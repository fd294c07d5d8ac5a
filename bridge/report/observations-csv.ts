import type { ComparisonSetView, LoadSetView, NullView, RunView } from '../run/view.ts';
import type { CsvValue } from './csv.ts';
import { csvText } from './csv.ts';

/** The observations as tables for other programs: one of the sets, one of every null, each with its CSVW metadata (W3C). */

type Datatype = 'string' | 'integer' | 'number' | 'boolean';

interface Column<Row> {
  name: string;
  datatype: Datatype;
  unit?: string;
  description: string;
  value(row: Row): CsvValue;
}

export interface CsvTable {
  csv: string;
  /** Fit for a file named like the table with `-metadata.json` after it, where the W3C's rules look for it. */
  metadata(url: string): object;
}

const NULL_COLUMNS: readonly Column<NullView>[] = [
  { name: 'null', datatype: 'string', description: 'id of the null, in the order found', value: (n) => n.id },
  { name: 'set', datatype: 'integer', description: 'set of observations', value: (n) => n.set },
  { name: 'cell', datatype: 'integer', description: 'cell in circuit', value: (n) => n.cell },
  { name: 'load', datatype: 'boolean', description: 'load resistance across the cell', value: (n) => n.load },
  {
    name: 'loadOhm',
    datatype: 'number',
    unit: 'ohm',
    description: 'load resistance',
    value: (n) => n.loadOhm,
  },
  { name: 'row', datatype: 'integer', description: 'row of the wire, from 1', value: (n) => n.row },
  {
    name: 'scaleCm',
    datatype: 'number',
    unit: 'cm',
    description: 'metre scale at the null',
    value: (n) => n.scaleCm,
  },
  {
    name: 'lengthCm',
    datatype: 'number',
    unit: 'cm',
    description: 'length of wire from A to the null',
    value: (n) => n.lengthCm,
  },
  {
    name: 'uCm',
    datatype: 'number',
    unit: 'cm',
    description: 'standard uncertainty of the length, calibration of the scale included',
    value: (n) => n.uCm,
  },
  {
    name: 'uReadCm',
    datatype: 'number',
    unit: 'cm',
    description: 'standard uncertainty that the readings alone leave',
    value: (n) => n.uReadCm,
  },
  {
    name: 'driverMa',
    datatype: 'number',
    unit: 'mA',
    description: 'driver current',
    value: (n) => n.driverMa,
  },
  {
    name: 'sensitivityUaPerMm',
    datatype: 'number',
    unit: 'uA/mm',
    description: 'change of the galvanometer current per millimetre of wire',
    value: (n) => n.sensitivityUaPerMm,
  },
  {
    name: 'smallestLengthCm',
    datatype: 'number',
    unit: 'cm',
    description: 'smallest length that the readings can tell: twice uReadCm',
    value: (n) => n.smallestLengthCm,
  },
  {
    name: 'atS',
    datatype: 'number',
    unit: 's',
    description: 'board time since the first sample',
    value: (n) => n.atS,
  },
  { name: 'fine', datatype: 'boolean', description: 'protective resistance out', value: (n) => n.fine },
  { name: 'by', datatype: 'string', description: 'found by sweep, taps or eye', value: (n) => n.by },
  { name: 'used', datatype: 'boolean', description: 'accepted', value: (n) => n.used },
  {
    name: 'whyNot',
    datatype: 'string',
    description: 'why it is not accepted',
    value: (n) => n.whyNot?.text ?? '',
  },
];

/** A column of a set whose field is named as the column is. */
const field = <Row>(
  name: keyof Row & string,
  unit: string | undefined,
  description: string,
): Column<Row> => ({
  name,
  datatype: name === 'set' ? 'integer' : 'number',
  ...(unit === undefined ? {} : { unit }),
  description,
  value: (row) => row[name] as CsvValue,
});

const WHOLE = 'its standard uncertainty, calibration of the scale included';
const READ = 'standard uncertainty that the readings alone leave';

const COMPARISON_COLUMNS: readonly Column<ComparisonSetView>[] = [
  field('set', undefined, 'serial number of the set'),
  field('driverMa', 'mA', 'corrected ammeter reading'),
  field('l1Cm', 'cm', 'balancing length of cell 1 at this driver current'),
  field('u1Cm', 'cm', WHOLE),
  field('uRead1Cm', 'cm', READ),
  field('l2Cm', 'cm', 'balancing length of cell 2 at this driver current'),
  field('u2Cm', 'cm', WHOLE),
  field('uRead2Cm', 'cm', READ),
  field('ratio', undefined, 'l1/l2, end correction not applied'),
  field('uRatio', undefined, 'its standard uncertainty'),
];

const LOAD_COLUMNS: readonly Column<LoadSetView>[] = [
  field('set', undefined, 'serial number of the set'),
  field('driverMa', 'mA', 'corrected ammeter reading'),
  field('loadOhm', 'ohm', 'load resistance'),
  field('l0Cm', 'cm', 'balancing length with the load out, at this driver current'),
  field('u0Cm', 'cm', WHOLE),
  field('uRead0Cm', 'cm', READ),
  field('lCm', 'cm', 'balancing length with the load in, at this driver current'),
  field('uCm', 'cm', WHOLE),
  field('uReadCm', 'cm', READ),
  field('rOhm', 'ohm', 'R(l0/l - 1), end correction not applied'),
  field('uROhm', 'ohm', 'its standard uncertainty'),
];

export const nullsTable = (view: RunView): CsvTable =>
  tableOf('Nulls of a run on a stretched-wire potentiometer', NULL_COLUMNS, view.nulls, 'null');

export function setsTable({ work }: RunView): CsvTable {
  const title = 'Sets of observations on a stretched-wire potentiometer';
  return work.procedure === 'emf-comparison'
    ? tableOf(title, COMPARISON_COLUMNS, work.sets, 'set')
    : tableOf(title, LOAD_COLUMNS, work.sets, ['set', 'loadOhm']);
}

function tableOf<Row>(
  title: string,
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  primaryKey: string | string[],
): CsvTable {
  const names = columns.map((column) => column.name);
  return {
    csv: csvText(
      names,
      rows.map((row) => columns.map((column) => column.value(row))),
    ),
    metadata: (url) => ({
      '@context': ['http://www.w3.org/ns/csvw', { '@language': 'en' }],
      url,
      'dc:title': title,
      dialect: { header: true, encoding: 'utf-8', lineTerminators: ['\r\n'] },
      tableSchema: { columns: columns.map(columnMetadata), primaryKey },
    }),
  };
}

const columnMetadata = ({ name, datatype, unit, description }: Column<never>): object => ({
  name,
  titles: name,
  datatype,
  'dc:description': description,
  ...(unit === undefined ? {} : { 'schema:unitText': unit }),
});
