/** A polynomial of third order in u = (x - centre) / half, x a place on the metre scale in cm. */
export interface Curve {
  centreCm: number;
  halfCm: number;
  coefficients: Float64Array;
}

export const evaluate = (curve: Curve, xCm: number): number => {
  const u = (xCm - curve.centreCm) / curve.halfCm;
  const c = curve.coefficients;
  return c[0] + u * (c[1] + u * (c[2] + u * c[3]));
};

/** Per cm. */
export const slopeAt = (curve: Curve, xCm: number): number => {
  const u = (xCm - curve.centreCm) / curve.halfCm;
  const c = curve.coefficients;
  return (c[1] + u * (2 * c[2] + 3 * u * c[3])) / curve.halfCm;
};

/** Newton's steps double the digits each: these are plenty, or they do not settle. */
const MOST_STEPS = 20;
const SETTLED_CM = 1e-10;

/** Where the curve crosses zero, by Newton's steps from the root of its straight part; NaN where they do not settle. */
export function rootOf(curve: Curve): number {
  let x = curve.centreCm - (curve.halfCm * curve.coefficients[0]) / curve.coefficients[1];
  for (let round = 0; round < MOST_STEPS; round += 1) {
    const step = evaluate(curve, x) / slopeAt(curve, x);
    x -= step;
    if (!Number.isFinite(x)) return Number.NaN;
    if (Math.abs(step) < SETTLED_CM) return x;
  }
  return Number.NaN;
}

/**
 * Variance of the root in cm²: g'Cg over the slope squared, g the polynomial's row at the root (the delta
 * method). `inverse` is the covariance of the coefficients, `size` wide, the polynomial's four first.
 */
export function rootVariance(curve: Curve, inverse: Float64Array, size: number, rootCm: number): number {
  const u = (rootCm - curve.centreCm) / curve.halfCm;
  const row = [1, u, u * u, u * u * u];
  let sum = 0;
  for (let i = 0; i < 4; i += 1) {
    for (let j = 0; j < 4; j += 1) sum += row[i] * row[j] * inverse[i * size + j];
  }
  return sum / slopeAt(curve, rootCm) ** 2;
}
