import type { LiveReading } from '../run/view.ts';
import { type Column, field, headerLine, metadataOf, rowLines } from './csv-table.ts';

/** The samples of a run in the bench's units, a row each: what other programs may plot, fit or check. */

/** More digits than any converter has, and fewer than would make a file twice as long. */
const DIGITS = 9;

const measured = (
  name: 'atS' | 'scaleCm' | 'lengthCm' | 'currentUa' | 'driverMa',
  unit: string,
  description: string,
): Column<LiveReading> => ({
  ...field<LiveReading>(name, 'number', unit, description),
  value: (reading) => {
    const value = reading[name];
    return value === null ? null : Number(value.toPrecision(DIGITS));
  },
});

const COLUMNS: readonly Column<LiveReading>[] = [
  { ...measured('atS', 's', 'board time since the first sample'), name: 'timeS' },
  field('row', 'integer', null, 'row of the wire that the jockey is on, from 1'),
  measured('scaleCm', 'cm', 'position sensor on the metre scale; empty beyond its span'),
  measured('lengthCm', 'cm', 'length of wire from A to the jockey'),
  measured('currentUa', 'uA', 'galvanometer current, from the zero as it was known by then'),
  measured('driverMa', 'mA', 'driver current as it was read'),
  field('contact', 'boolean', null, 'the jockey touches the wire; empty where the board does not sense it'),
  field('cell', 'integer', null, 'cell in circuit'),
  {
    ...field<LiveReading>('protect', 'boolean', null, 'protective resistance in'),
    name: 'protectiveResistance',
  },
  field('load', 'boolean', null, 'load resistance across the cell'),
  field('saturated', 'boolean', null, 'the galvanometer is beyond its span: the current is at least this'),
  field('afterGap', 'boolean', null, 'samples before this one are missing'),
];

export const SAMPLES_HEADER = headerLine(COLUMNS);

export const sampleLines = (readings: readonly LiveReading[]): string => rowLines(COLUMNS, readings);

export const samplesMetadata = (url: string): object =>
  metadataOf(url, 'Samples of a run on a stretched-wire potentiometer', COLUMNS);
