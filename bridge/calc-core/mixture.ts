import erfc from '@stdlib/math-base-special-erfc';

/** A weighted sum of normal distributions: what averaging over models leaves of a quantity. */
export interface NormalPart {
  weight: number;
  mean: number;
  variance: number;
}

/** Mean, and the variance within the parts and between them; their sum is the whole variance. */
export function moments(parts: readonly NormalPart[]): { mean: number; within: number; between: number } {
  const whole = parts.reduce((sum, { weight }) => sum + weight, 0);
  const origin = parts[0].mean;
  const average = (of: (part: NormalPart) => number) =>
    parts.reduce((sum, part) => sum + part.weight * of(part), 0) / whole;
  const shift = average((part) => part.mean - origin);
  return {
    mean: origin + shift,
    within: average((part) => part.variance),
    between: average((part) => (part.mean - origin - shift) ** 2),
  };
}

/** Smallest half-width U such that centre ± U holds the share `coverage` of the mixture; by bisection. */
export function halfWidth(parts: readonly NormalPart[], centre: number, coverage: number): number {
  const merged = mergeAlike(parts);
  const whole = merged.reduce((sum, { weight }) => sum + weight, 0);
  const held = (half: number) =>
    merged.reduce((sum, part) => sum + part.weight * heldBy(part, centre, half), 0) / whole;
  let low = 0;
  let high = Math.max(
    ...merged.map(({ mean, variance }) => Math.abs(mean - centre) + 40 * Math.sqrt(variance)),
  );
  for (let step = 0; step < 60 && high - low > 1e-7 * high; step += 1) {
    const middle = (low + high) / 2;
    if (held(middle) < coverage) low = middle;
    else high = middle;
  }
  return high;
}

/** Parts whose standard deviations differ by less than this share, and whose means by less than this share of it, are one. */
const ALIKE = 0.04;

/** Thousands of parts become hundreds; mean and variance of the whole stay. */
function mergeAlike(parts: readonly NormalPart[]): NormalPart[] {
  const groups = new Map<string, NormalPart[]>();
  for (const part of parts) {
    const size = Math.round(Math.log(part.variance) / (2 * ALIKE));
    const place = Math.round(part.mean / (ALIKE * Math.exp(size * ALIKE)));
    const key = `${size} ${place}`;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [part]);
    else group.push(part);
  }
  return [...groups.values()].map((group) => {
    const { mean, within, between } = moments(group);
    return { weight: group.reduce((sum, { weight }) => sum + weight, 0), mean, variance: within + between };
  });
}

function heldBy({ mean, variance }: NormalPart, centre: number, half: number): number {
  const scale = Math.sqrt(2 * variance);
  const off = mean - centre;
  if (scale === 0) return Math.abs(off) <= half ? 1 : 0;
  return (erfc((off - half) / scale) - erfc((off + half) / scale)) / 2;
}
