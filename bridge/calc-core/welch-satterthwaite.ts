/** A contribution to the combined standard uncertainty (in the unit of the result) and its degrees of freedom. */
export interface Contribution {
  contribution: number;
  dof: number;
}

/** Combined standard uncertainty of independent contributions: root of the sum of squares (GUM 5.1.2). */
export const combine = (parts: readonly Contribution[]): number =>
  Math.hypot(...parts.map((part) => part.contribution));

/**
 * Effective degrees of freedom of independent contributions, GUM G.4.1 equation (G.2b).
 * Infinity where every part that counts is known beforehand.
 */
export function effectiveDof(parts: readonly Contribution[]): number {
  const whole = combine(parts);
  let sum = 0;
  // shares first: fourth powers of small uncertainties would underflow
  for (const part of parts) sum += (part.contribution / whole) ** 4 / part.dof;
  return sum > 0 ? 1 / sum : Number.POSITIVE_INFINITY;
}
