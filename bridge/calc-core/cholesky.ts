/** Cholesky factors of small covariance matrices, and the triangular solves that go with them. */

export type Matrix = number[][];

/** Lower triangle L with L·Lᵀ = `matrix` (symmetric, positive definite). Null where it is not. */
export function cholesky(matrix: Matrix): Matrix | null {
  const size = matrix.length;
  const lower: Matrix = matrix.map(() => new Array<number>(size).fill(0));
  for (let column = 0; column < size; column += 1) {
    const own = lower[column];
    const pivot = matrix[column][column] - productUpTo(own, own, column);
    if (!(pivot > 0 && Number.isFinite(pivot))) return null;
    const root = Math.sqrt(pivot);
    own[column] = root;
    for (let row = column + 1; row < size; row += 1) {
      lower[row][column] = (matrix[row][column] - productUpTo(lower[row], own, column)) / root;
    }
  }
  return lower;
}

function productUpTo(a: readonly number[], b: readonly number[], upTo: number): number {
  let sum = 0;
  for (let index = 0; index < upTo; index += 1) sum += a[index] * b[index];
  return sum;
}

/**
 * Solves L·x = b: with L of a covariance matrix this makes correlated residuals independent, variance 1. Zeros that b begins with
 * stay zeros and cost nothing.
 */
export function solveLower(lower: Matrix, b: readonly number[]): number[] {
  const x = new Array<number>(b.length).fill(0);
  const first = b.findIndex((value) => value !== 0);
  for (let row = first < 0 ? b.length : first; row < b.length; row += 1) {
    const factors = lower[row];
    let sum = b[row];
    for (let index = first; index < row; index += 1) sum -= factors[index] * x[index];
    x[row] = sum / factors[row];
  }
  return x;
}

/** Solves Lᵀ·x = b. */
export function solveUpper(lower: Matrix, b: readonly number[]): number[] {
  const x = [...b];
  for (let row = b.length - 1; row >= 0; row -= 1) {
    for (let index = row + 1; index < b.length; index += 1) x[row] -= lower[index][row] * x[index];
    x[row] /= lower[row][row];
  }
  return x;
}

export const dot = (a: readonly number[], b: readonly number[]): number => productUpTo(a, b, a.length);
