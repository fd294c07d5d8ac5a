import type { Written } from './blunders.ts';
import { drawDriver, drawThermal, type InTime } from './cells.ts';
import type { Chance } from './chance.ts';
import type { Cell } from './design.ts';
import { drawReader, type Reader } from './scale.ts';
import type { Sizes } from './sizes.ts';
import { drawWire, placeAtOhm, type Wire } from './wire.ts';

/** A bench as it really is, apart from the cells, and one null at it. */

export interface Bench {
  wire: Wire;
  reader: Reader;
  zeroLeft: boolean;
  thermal: Record<Cell, InTime>;
  driver: (tS: number, sinceChangeS: number) => number;
}

export const drawBench = (sizes: Sizes, byEye: boolean, chance: Chance): Bench => ({
  wire: drawWire(sizes, chance),
  reader: drawReader(sizes, byEye, chance),
  zeroLeft: chance.yes(0.5),
  thermal: { 1: drawThermal(sizes, chance), 2: drawThermal(sizes, chance) },
  driver: drawDriver(sizes, chance),
});

/** A null as it is written down, when it was, and the driver current that flowed. */
export interface Null extends Written {
  tS: number;
  currentA: number;
}

export interface Wanted {
  set: number;
  cell: Cell;
  tS: number;
  /** Since the set began, for a driver that settles. */
  sinceS: number;
  /** Driver current as the rheostat was set. */
  setA: number;
  volts: number;
}

/** When a set's first null is found after the rheostat was turned. */
const AFTER_CHANGE_S = 15;

/** The jockey finds the place whose potential is the voltage; null where the wire has none. */
export function nullAt(bench: Bench, { set, cell, tS, sinceS, setA, volts }: Wanted): Null | null {
  const currentA = setA * bench.driver(tS, sinceS + AFTER_CHANGE_S);
  const place = placeAtOhm(bench.wire, (volts + bench.thermal[cell](tS)) / currentA);
  if (place === null) return null;
  const withScale = scaleSense(bench, place.row) === 1;
  const scaleCm = bench.reader.read(withScale ? place.alongCm : bench.wire.rowCm - place.alongCm);
  return { set, cell, row: place.row, scaleCm, stretched: 1, tS, currentA };
}

/** Rows run to and fro: +1 where the length from A grows with the scale. */
export const scaleSense = ({ zeroLeft }: Bench, row: number): 1 | -1 =>
  (row % 2 === 1) === zeroLeft ? 1 : -1;

/** Length from A that a scale reading on a row stands for. */
export function lengthCm(bench: Bench, { row, scaleCm }: Written): number {
  const { rowCm } = bench.wire;
  return scaleSense(bench, row) === 1 ? (row - 1) * rowCm + scaleCm : row * rowCm - scaleCm;
}
