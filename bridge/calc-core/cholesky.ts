/** Cholesky factors of small covariance matrices, and the triangular solves that go with them. */

export type Matrix = number[][];

/** Pivots below this share of the largest diagonal are rounding, not variance. */
const RELATIVE_ZERO = 1e-12;

/**
 * Lower triangle L with L·Lᵀ = `matrix` (symmetric, positive semi-definite; an effect shared wholly by two
 * inputs makes it singular). Null where a variance is negative: no covariance matrix, such as a correlation beyond 1.
 */
export function cholesky(matrix: Matrix): Matrix | null {
  const size = matrix.length;
  const lower: Matrix = matrix.map(() => new Array<number>(size).fill(0));
  const zero = RELATIVE_ZERO * Math.max(0, ...matrix.map((row, index) => row[index]));
  for (let column = 0; column < size; column += 1) {
    const pivot = matrix[column][column] - rowProduct(lower, column, column, column);
    if (!(pivot >= -zero)) return null;
    if (!fillColumn(matrix, lower, column, pivot > zero ? Math.sqrt(pivot) : 0, zero)) return null;
  }
  return lower;
}

function fillColumn(matrix: Matrix, lower: Matrix, column: number, root: number, zero: number): boolean {
  lower[column][column] = root;
  for (let row = column + 1; row < matrix.length; row += 1) {
    const rest = matrix[row][column] - rowProduct(lower, row, column, column);
    if (root > 0) lower[row][column] = rest / root;
    // a variance of nothing cannot be correlated with something
    else if (Math.abs(rest) > Math.sqrt(zero * (matrix[row][row] + zero)) * 2) return false;
  }
  return true;
}

function rowProduct(lower: Matrix, a: number, b: number, upTo: number): number {
  let sum = 0;
  for (let index = 0; index < upTo; index += 1) sum += lower[a][index] * lower[b][index];
  return sum;
}

/** Solves L·x = b: with L of a covariance matrix this makes correlated residuals independent, variance 1. */
export function solveLower(lower: Matrix, b: readonly number[]): number[] {
  const x: number[] = [];
  for (let row = 0; row < b.length; row += 1) {
    let sum = b[row];
    for (let index = 0; index < row; index += 1) sum -= lower[row][index] * x[index];
    x.push(sum / lower[row][row]);
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
