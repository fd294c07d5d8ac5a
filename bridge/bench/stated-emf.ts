import type { Bench } from './bench-file.ts';

/** What the bench file says of a cell before any null: enough to foretell where the null lies. */

const cellOf = (bench: Bench, cell: number) =>
  cell === 1 || cell === 2 ? bench.cells?.[cell === 1 ? '1' : '2'] : undefined;

/** A cell of known EMF: nobody may draw current from it. */
export const isReference = (bench: Bench, cell: number): boolean =>
  cellOf(bench, cell)?.reference !== undefined;

/**
 * Standard uncertainty in V of one voltmeter reading, null where its least count is not stated. A reading lies within half
 * a least count of the truth, any place as likely as another (GUM 4.3.7); the voltmeter's own calibration and the current
 * that it draws from the cell come on top and nobody states them.
 */
export function voltmeterUV({ voltmeter }: Bench): number | null {
  return voltmeter === undefined ? null : voltmeter.leastCountV / Math.sqrt(12);
}

/** EMF in V: the reference cell's own, else the voltmeter's reading; undefined where neither is stated. */
export const statedEmfV = (bench: Bench, cell: number): number | undefined =>
  cellOf(bench, cell)?.reference?.emfV ?? cellOf(bench, cell)?.voltmeterV;
