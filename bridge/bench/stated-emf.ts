import type { Bench } from './bench-file.ts';

/** What the bench file says of a cell before any null: enough to foretell where the null lies. */

const cellOf = (bench: Bench, cell: number) =>
  cell === 1 || cell === 2 ? bench.cells?.[cell === 1 ? '1' : '2'] : undefined;

/** A cell of known EMF: nobody may draw current from it. */
export const isReference = (bench: Bench, cell: number): boolean =>
  cellOf(bench, cell)?.reference !== undefined;

/** EMF in V: the reference cell's own, else the voltmeter's reading; undefined where neither is stated. */
export const statedEmfV = (bench: Bench, cell: number): number | undefined =>
  cellOf(bench, cell)?.reference?.emfV ?? cellOf(bench, cell)?.voltmeterV;
