import type { ComparisonSetView, LoadSetView, NullView, RunView } from '../run/view.ts';
import { type Column, type CsvTable, field, tableOf } from './csv-table.ts';

/** The observations as tables for other programs: one of the sets, one of every null, each with its CSVW metadata (W3C). */

const NULL_COLUMNS: readonly Column<NullView>[] = [
  { ...field<NullView>('id', 'string', null, 'id of the null, in the order found'), name: 'null' },
  field('set', 'integer', null, 'set of observations'),
  field('cell', 'integer', null, 'cell in circuit'),
  field('load', 'boolean', null, 'load resistance across the cell'),
  field('loadOhm', 'number', 'ohm', 'load resistance'),
  field('row', 'integer', null, 'row of the wire, from 1'),
  field('scaleCm', 'number', 'cm', 'metre scale at the null'),
  field('lengthCm', 'number', 'cm', 'length of wire from A to the null'),
  field(
    'broughtCm',
    'number',
    'cm',
    "this length brought to its set's driver current; empty where it is not used",
  ),
  field('uCm', 'number', 'cm', 'standard uncertainty of the length, calibration of the scale included'),
  field('uReadCm', 'number', 'cm', 'standard uncertainty that the readings alone leave'),
  field('driverMa', 'number', 'mA', 'driver current'),
  field('sensitivityUaPerMm', 'number', 'uA/mm', 'change of the galvanometer current per millimetre of wire'),
  field('smallestLengthCm', 'number', 'cm', 'smallest length that the readings can tell: twice uReadCm'),
  field('atS', 'number', 's', 'board time since the first sample'),
  field('fine', 'boolean', null, 'protective resistance out'),
  field('by', 'string', null, 'found by sweep, taps or eye'),
  field('used', 'boolean', null, 'accepted'),
  {
    name: 'whyNot',
    datatype: 'string',
    unit: null,
    description: 'why it is not accepted',
    value: ({ whyNot }) => whyNot?.text ?? '',
  },
];

const WHOLE = 'its standard uncertainty, calibration of the scale included';
const READ = 'standard uncertainty that the readings alone leave';

const COMPARISON_COLUMNS: readonly Column<ComparisonSetView>[] = [
  field('set', 'integer', null, 'serial number of the set'),
  field('driverMa', 'number', 'mA', 'corrected ammeter reading'),
  field('l1Cm', 'number', 'cm', 'balancing length of cell 1 at this driver current'),
  field('u1Cm', 'number', 'cm', WHOLE),
  field('uRead1Cm', 'number', 'cm', READ),
  field('l2Cm', 'number', 'cm', 'balancing length of cell 2 at this driver current'),
  field('u2Cm', 'number', 'cm', WHOLE),
  field('uRead2Cm', 'number', 'cm', READ),
  field('ratio', 'number', null, 'l1/l2, end correction not applied'),
  field('uRatio', 'number', null, 'its standard uncertainty'),
];

const LOAD_COLUMNS: readonly Column<LoadSetView>[] = [
  field('set', 'integer', null, 'serial number of the set'),
  field('driverMa', 'number', 'mA', 'corrected ammeter reading'),
  field('loadOhm', 'number', 'ohm', 'load resistance'),
  field('l0Cm', 'number', 'cm', 'balancing length with the load out, at this driver current'),
  field('u0Cm', 'number', 'cm', WHOLE),
  field('uRead0Cm', 'number', 'cm', READ),
  field('lCm', 'number', 'cm', 'balancing length with the load in, at this driver current'),
  field('uCm', 'number', 'cm', WHOLE),
  field('uReadCm', 'number', 'cm', READ),
  field('rOhm', 'number', 'ohm', 'R(l0/l - 1), end correction not applied'),
  field('uROhm', 'number', 'ohm', 'its standard uncertainty'),
];

export const nullsTable = (view: RunView): CsvTable =>
  tableOf('Nulls of a run on a stretched-wire potentiometer', NULL_COLUMNS, view.nulls, 'null');

export function setsTable({ work }: RunView): CsvTable {
  const title = 'Sets of observations on a stretched-wire potentiometer';
  return work.procedure === 'emf-comparison'
    ? tableOf(title, COMPARISON_COLUMNS, work.sets, 'set')
    : tableOf(title, LOAD_COLUMNS, work.sets, ['set', 'loadOhm']);
}
