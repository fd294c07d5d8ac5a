import { fillGaps } from '../../../bridge/calc-core/assumed-sizes.ts';
import { averageSets } from '../../../bridge/calc-core/averaged-outcome.ts';
import { comparisonTask } from '../../../bridge/calc-core/comparison-model.ts';
import type { NormalPart } from '../../../bridge/calc-core/mixture.ts';
import type { PriorRun } from './prior-run.ts';

/**
 * Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari, Gelman, arXiv:1804.06788 (2018), from memory): where the
 * truth is drawn from the priors, its rank in the posterior is uniform. A rank that is not tells a wrong calculation, or an
 * approximation that costs something; that the priors fit real benches it does not tell.
 */

/** Share of the posterior that lies below the truth; null without a posterior. */
export function rankOf({ sets, bench, truth }: PriorRun): number | null {
  const purpose = { quantity: { quantity: 'E1/E2', unit: '1' }, factor: null } as const;
  const fit = averageSets(comparisonTask(sets, fillGaps(bench), purpose));
  return fit === null ? null : below(fit.parts, truth);
}

function below(parts: readonly NormalPart[], value: number): number {
  const whole = parts.reduce((sum, { weight }) => sum + weight, 0);
  return (
    parts.reduce(
      (sum, { weight, mean, variance }) => sum + weight * normalBelow((value - mean) / Math.sqrt(variance)),
      0,
    ) / whole
  );
}

/** Φ by Abramowitz and Stegun 7.1.26, good to 1.5e-7. */
function normalBelow(z: number): number {
  const x = Math.abs(z) / Math.SQRT2;
  const t = 1 / (1 + 0.3275911 * x);
  const series =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const tail = 0.5 * series * Math.exp(-x * x);
  return z < 0 ? tail : 1 - tail;
}

export interface Uniformity {
  bins: number[];
  /** Chi-square of the bins over its degrees of freedom, in standard deviations above its mean. */
  chiSquareZ: number;
  /** Share of the ranks within the middle 50, 80, 95 and 99 %. */
  within: { share: number; found: number }[];
}

const BINS = 20;

export function uniformity(ranks: readonly number[]): Uniformity {
  const bins = new Array<number>(BINS).fill(0);
  for (const rank of ranks) bins[Math.min(BINS - 1, Math.floor(rank * BINS))] += 1;
  const expected = ranks.length / BINS;
  const chiSquare = bins.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
  return {
    bins,
    chiSquareZ: (chiSquare - (BINS - 1)) / Math.sqrt(2 * (BINS - 1)),
    within: [0.5, 0.8, 0.95, 0.99].map((share) => ({
      share,
      found: ranks.filter((rank) => Math.abs(rank - 0.5) <= share / 2).length / ranks.length,
    })),
  };
}
