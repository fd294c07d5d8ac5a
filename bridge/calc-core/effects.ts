import type { Matrix } from './cholesky.ts';
import type { Message } from './message.ts';
import type { Distribution } from './outcome.ts';

/**
 * An independent cause of error. An effect that moves several inputs is one effect, not several correlated
 * errors, so that the law of propagation and Welch-Satterthwaite apply as they stand (GUM 5.2.4, F.1.2.4, G.4.1).
 */
export interface Effect {
  symbol: string;
  meaning: Message;
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

/** What is left of a variance below this share of the largest is rounding. */
const RELATIVE_ZERO = 1e-11;

/**
 * Independent columns whose sum of outer products is `covariance`: its Cholesky factor with pivoting, which stops where
 * no variance is left, so that inputs which wholly share an error are no trouble. Null where the matrix is no covariance
 * (a negative variance, a correlation beyond 1).
 */
export function columnsOf(covariance: Matrix): number[][] | null {
  const rest = covariance.map((row) => [...row]);
  const zero = RELATIVE_ZERO * Math.max(0, ...rest.map((row, index) => row[index]));
  const columns: number[][] = [];
  for (;;) {
    const diagonal = rest.map((row, index) => row[index]);
    const largest = Math.max(...diagonal);
    if (!(largest > zero)) break;
    const pivot = diagonal.indexOf(largest);
    const column = rest.map((row) => row[pivot] / Math.sqrt(largest));
    columns.push(column);
    rest.forEach((row, i) => {
      row.forEach((_, j) => {
        row[j] -= column[i] * column[j];
      });
    });
  }
  const used = rest.every((row) => row.every((value) => Math.abs(value) <= 10 * zero));
  return used ? columns : null;
}
