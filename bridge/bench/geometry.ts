import type { Bench } from './bench-file.ts';

type Wire = Pick<Bench['wire'], 'rows' | 'rowLengthCm' | 'zeroEnd'>;

/**
 * +1 on rows where the length from A grows with the metre scale, -1 on the others. Rows run to and fro,
 * so it changes from row to row; `zeroEnd` says where end A of row 1 lies.
 */
export const scaleSense = (wire: Wire, row: number): 1 | -1 =>
  (row % 2 === 1) === (wire.zeroEnd === 'left') ? 1 : -1;

/** Length along the wire from A, in cm, of a scale reading on a row (1 to `rows`). */
export const lengthFromA = (wire: Wire, row: number, scaleCm: number): number =>
  scaleSense(wire, row) === 1 ? (row - 1) * wire.rowLengthCm + scaleCm : row * wire.rowLengthCm - scaleCm;

/** Where a length from A lies: its row and scale reading. Lengths beyond the wire fall on its last rows. */
export function placeOnWire(wire: Wire, lengthCm: number): { row: number; scaleCm: number } {
  const row = Math.min(wire.rows, Math.max(1, Math.floor(lengthCm / wire.rowLengthCm) + 1));
  const alongRow = lengthCm - (row - 1) * wire.rowLengthCm;
  return { row, scaleCm: scaleSense(wire, row) === 1 ? alongRow : wire.rowLengthCm - alongRow };
}

export const wireLengthCm = (wire: Wire): number => wire.rows * wire.rowLengthCm;
