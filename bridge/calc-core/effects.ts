import { cholesky, type Matrix } from './cholesky.ts';
import type { Distribution } from './outcome.ts';

/**
 * An independent cause of error. An effect that moves several inputs is one effect, not several correlated
 * errors, so that the law of propagation and Welch-Satterthwaite apply as they stand (GUM 5.2.4, F.1.2.4, G.4.1).
 */
export interface Effect {
  symbol: string;
  meaning: string;
  estimate: number;
  unit: string;
  standardUncertainty: number;
  distribution: Distribution;
  /** Infinity where it is known beforehand. */
  dof: number;
  /**
   * One column for each independent component of the effect: how far each input of the model moves, in the
   * input's unit, when the component moves by one standard deviation.
   */
  columns: number[][];
}

/** A column that moves one input alone. */
export const columnAt = (size: number, index: number, step: number): number[] => {
  const column = new Array<number>(size).fill(0);
  column[index] = step;
  return column;
};

/** Columns of a covariance matrix of the inputs; null where it is none (a correlation beyond 1, say). */
export function columnsOf(covariance: Matrix): number[][] | null {
  const lower = cholesky(covariance);
  if (lower === null) return null;
  return lower
    .map((_, column) => lower.map((row) => row[column]))
    .filter((column) => column.some((step) => step !== 0));
}
