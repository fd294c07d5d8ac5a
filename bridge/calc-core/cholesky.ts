/** Cholesky factors of small covariance matrices, and the triangular solves that go with them. */

export type Matrix = number[][];

/** Lower triangle L with L·Lᵀ = `matrix` (symmetric, positive definite). Null where it is not. */
export function cholesky(matrix: Matrix): Matrix | null {
  const size = matrix.length;
  const lower: Matrix = matrix.map(() => new Array<number>(size).fill(0));
  for (let column = 0; column < size; column += 1) {
    const pivot = matrix[column][column] - rowProduct(lower, column, column, column);
    if (!(pivot > 0 && Number.isFinite(pivot))) return null;
    const root = Math.sqrt(pivot);
    lower[column][column] = root;
    for (let row = column + 1; row < size; row += 1) {
      lower[row][column] = (matrix[row][column] - rowProduct(lower, row, column, column)) / root;
    }
  }
  return lower;
}

function rowProduct(lower: Matrix, a: number, b: number, upTo: number): number {
  let sum = 0;
  for (let index = 0; index < upTo; index += 1) sum += lower[a][index] * lower[b][index];
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
    let sum = b[row];
    for (let index = first; index < row; index += 1) sum -= lower[row][index] * x[index];
    x[row] = sum / lower[row][row];
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

export function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let index = 0; index < a.length; index += 1) sum += a[index] * b[index];
  return sum;
}
