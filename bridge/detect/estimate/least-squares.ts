/**
 * Weighted linear least squares by normal equations and Cholesky's decomposition, for a handful of
 * well-scaled columns. Callers centre and scale: with columns of order one, the loss of digits of normal
 * equations stays far below measurement noise.
 */
export class NormalEquations {
  readonly size: number;
  /** Lower triangle of the matrix X'WX, row by row. */
  private readonly matrix: Float64Array;
  private readonly right: Float64Array;
  private squares = 0;

  constructor(size: number) {
    this.size = size;
    this.matrix = new Float64Array(size * size);
    this.right = new Float64Array(size);
  }

  /** Equations whose sums are known: lower triangle row by row, right side, sum of squares. */
  static fromSums(lower: readonly number[], right: readonly number[], squares: number): NormalEquations {
    const equations = new NormalEquations(right.length);
    let at = 0;
    for (let i = 0; i < right.length; i += 1) {
      for (let j = 0; j <= i; j += 1) {
        equations.matrix[i * right.length + j] = lower[at];
        at += 1;
      }
    }
    equations.right.set(right);
    equations.squares = squares;
    return equations;
  }

  /** Adds an observation `y` with its row of regressors and its weight. */
  add(row: ArrayLike<number>, y: number, weight: number): void {
    const { size, matrix, right } = this;
    for (let i = 0; i < size; i += 1) {
      const scaled = weight * row[i];
      right[i] += scaled * y;
      for (let j = 0; j <= i; j += 1) matrix[i * size + j] += scaled * row[j];
    }
    this.squares += weight * y * y;
  }

  /** Adds prior knowledge: coefficient `index` is `value` with the given weight (one over its variance). */
  addPrior(index: number, value: number, weight: number): void {
    this.matrix[index * this.size + index] += weight;
    this.right[index] += weight * value;
    this.squares += weight * value * value;
  }

  /** Coefficients, inverse of X'WX and weighted sum of squared residuals; null where columns depend on each other. */
  solve(): Solution | null {
    const lower = cholesky(this.matrix, this.size);
    if (lower === null) return null;
    const coefficients = substitute(lower, this.right, this.size);
    let explained = 0;
    for (let i = 0; i < this.size; i += 1) explained += coefficients[i] * this.right[i];
    return {
      coefficients,
      inverse: invert(lower, this.size),
      logDeterminant: logDeterminant(lower, this.size),
      residualSquares: Math.max(0, this.squares - explained),
    };
  }
}

export interface Solution {
  coefficients: Float64Array;
  /** size x size, row by row; times the noise variance it is the covariance of the coefficients. */
  inverse: Float64Array;
  /** Of X'WX with the priors. */
  logDeterminant: number;
  residualSquares: number;
}

/** What is left of a column, less what those before it explain, is rounding below this share. */
const DEPENDENT = 1e-13;

function cholesky(matrix: Float64Array, size: number): Float64Array | null {
  const lower = new Float64Array(size * size);
  for (let i = 0; i < size; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      let sum = matrix[i * size + j];
      for (let k = 0; k < j; k += 1) sum -= lower[i * size + k] * lower[j * size + k];
      if (i === j) {
        if (!(sum > DEPENDENT * matrix[i * size + i])) return null;
        lower[i * size + i] = Math.sqrt(sum);
      } else {
        lower[i * size + j] = sum / lower[j * size + j];
      }
    }
  }
  return lower;
}

function logDeterminant(lower: Float64Array, size: number): number {
  let sum = 0;
  for (let i = 0; i < size; i += 1) sum += 2 * Math.log(lower[i * size + i]);
  return sum;
}

function substitute(lower: Float64Array, right: Float64Array, size: number): Float64Array {
  const x = Float64Array.from(right);
  for (let i = 0; i < size; i += 1) {
    for (let k = 0; k < i; k += 1) x[i] -= lower[i * size + k] * x[k];
    x[i] /= lower[i * size + i];
  }
  for (let i = size - 1; i >= 0; i -= 1) {
    for (let k = i + 1; k < size; k += 1) x[i] -= lower[k * size + i] * x[k];
    x[i] /= lower[i * size + i];
  }
  return x;
}

function invert(lower: Float64Array, size: number): Float64Array {
  const inverse = new Float64Array(size * size);
  const unit = new Float64Array(size);
  for (let column = 0; column < size; column += 1) {
    unit.fill(0);
    unit[column] = 1;
    const x = substitute(lower, unit, size);
    for (let row = 0; row < size; row += 1) inverse[row * size + column] = x[row];
  }
  return inverse;
}
