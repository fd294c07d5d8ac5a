import { NormalEquations } from '../detect/estimate/least-squares.ts';

/** How the driver current went over a stretch without a change: a straight line, with a bend where the readings earn it. */

/** Relative drift in 1/s that must be reckoned with before it has been watched: 0.2 % a minute (common practice, no source). */
export const DRIFT_UNKNOWN = 0.002 / 60;
const LEAST_POINTS = 12;
const LEAST_SPAN_S = 3;

export interface CurrentPoint {
  tS: number;
  mA: number;
  /** Blocks of readings that it is the mean of. */
  blocks: number;
}

export interface CurrentAt {
  mA: number;
  /** Standard uncertainty of the relative drift in 1/s: what two currents of one stretch are unsure of against each other, for each second between them. */
  uDriftPerS: number;
}

/** @param hiddenStepMa a drift of so much over the stretch would not show */
export function currentFit(points: readonly CurrentPoint[], hiddenStepMa: number): (tS: number) => CurrentAt {
  const first = points[0].tS;
  const span = points[points.length - 1].tS - first;
  const mean =
    points.reduce((sum, point) => sum + point.mA * point.blocks, 0) /
    points.reduce((sum, point) => sum + point.blocks, 0);
  const unknown = () => ({ mA: mean, uDriftPerS: DRIFT_UNKNOWN });
  if (points.length < LEAST_POINTS || span < LEAST_SPAN_S) return unknown;
  const straight = polynomial(points, first, span, 2, mean);
  const bent = polynomial(points, first, span, 3, mean);
  const chosen = bent !== null && Math.abs(bent.last) > 4 * bent.uLast ? bent : straight;
  if (chosen === null) return unknown;
  const slopeMaPerS = Math.hypot(chosen.uSlope / span, hiddenStepMa / span);
  const uDriftPerS = Math.min(DRIFT_UNKNOWN, slopeMaPerS / Math.abs(mean));
  return (tS) => ({ mA: chosen.at(Math.min(1.05, Math.max(-0.05, (tS - first) / span))), uDriftPerS });
}

interface Polynomial {
  last: number;
  uLast: number;
  /** Of the straight part, in mA over the whole span. */
  uSlope: number;
  at(u: number): number;
}

function polynomial(
  points: readonly CurrentPoint[],
  first: number,
  span: number,
  size: number,
  mean: number,
): Polynomial | null {
  const equations = new NormalEquations(size);
  const row = new Float64Array(size);
  for (const point of points) {
    const u = (2 * (point.tS - first)) / span - 1;
    for (let power = 0; power < size; power += 1) row[power] = u ** power;
    equations.add(row, point.mA - mean, point.blocks);
  }
  const solution = equations.solve();
  if (solution === null) return null;
  const { coefficients, inverse } = solution;
  const sigma2 = solution.residualSquares / Math.max(1, points.length - size);
  return {
    last: coefficients[size - 1],
    // Neighbouring blocks repeat each other somewhat (slow noise, the converter's steps): twice the variance.
    uLast: Math.sqrt(2 * sigma2 * inverse[size * size - 1]),
    uSlope: 2 * Math.sqrt(2 * sigma2 * inverse[size + 1]),
    at: (u) => coefficients.reduceRight((sum, coefficient) => sum * (2 * u - 1) + coefficient, 0) + mean,
  };
}

/** Neighbours merged two by two: half as many points over the same time. */
export function halved(points: readonly CurrentPoint[]): CurrentPoint[] {
  const merged: CurrentPoint[] = [];
  for (let index = 0; index + 1 < points.length; index += 2) {
    const [a, b] = [points[index], points[index + 1]];
    const blocks = a.blocks + b.blocks;
    const middle = (of: (point: CurrentPoint) => number) => (of(a) * a.blocks + of(b) * b.blocks) / blocks;
    merged.push({ tS: middle((point) => point.tS), mA: middle((point) => point.mA), blocks });
  }
  return merged;
}
