import { plainMean } from './plain-mean.ts';

/** Propagation of distributions by a Monte Carlo method, JCGM 101:2008: adaptive (7.9), seeded. */

export interface MonteCarlo {
  trials: number;
  mean: number;
  standardDeviation: number;
  /** Ends of the probabilistically symmetric coverage interval (7.7). */
  low: number;
  high: number;
  /** Numerical tolerance of the standard uncertainty at two significant digits (7.9.2). */
  tolerance: number;
  /** Twice the standard deviation of the worse end, over the trials made. */
  noise: number;
}

const BLOCK = 10_000;
const MOST_BLOCKS = 20;
/** Significant digits of u that matter; a result is printed with as many. */
const DIGITS = 2;

/** Numerical tolerance of a standard uncertainty: half a unit of its last digit when written with `digits` digits. */
export const numericalTolerance = (u: number, digits: number): number =>
  u > 0 ? 0.5 * 10 ** (Math.floor(Math.log10(u)) - digits + 1) : 0;

/** To a fifth of the tolerance (8.2). */
const asPublished = (standardDeviation: number): number => numericalTolerance(standardDeviation, DIGITS) / 5;

/**
 * Trials in blocks until the figures settle, or to the most trials allowed.
 * @param trial one draw of the quantity
 * @param settledTo what twice the standard deviation of each figure must come below, from that of the quantity
 */
export function monteCarlo(
  trial: () => number,
  coverage: number,
  settledTo: (standardDeviation: number) => number = asPublished,
): MonteCarlo {
  const values = new Float64Array(BLOCK * MOST_BLOCKS);
  const blocks: Summary[] = [];
  for (;;) {
    const block = Float64Array.from({ length: BLOCK }, trial).sort();
    values.set(block, blocks.length * BLOCK);
    blocks.push(summaryOf(block, coverage));
    const standardDeviation = meanOf(blocks, 'standardDeviation');
    const most = settledTo(standardDeviation);
    const settled = blocks.length > 1 && FIGURES.every((figure) => spread(blocks, figure) <= most);
    if (settled || blocks.length === MOST_BLOCKS) {
      const all = values.subarray(0, blocks.length * BLOCK).sort();
      const noise = Math.max(spread(blocks, 'low'), spread(blocks, 'high'));
      const tolerance = numericalTolerance(standardDeviation, DIGITS);
      return { trials: all.length, ...summaryOf(all, coverage), tolerance, noise };
    }
  }
}

type Summary = Pick<MonteCarlo, 'mean' | 'standardDeviation' | 'low' | 'high'>;
const FIGURES = ['mean', 'standardDeviation', 'low', 'high'] as const;

/** Mean, standard deviation and interval of sorted values; 7.6 and 7.7. */
function summaryOf(sorted: Float64Array, coverage: number): Summary {
  const { mean, standardDeviation } = plainMean(Array.from(sorted));
  const held = Math.round(coverage * sorted.length);
  const first = Math.round((sorted.length - held) / 2);
  return {
    mean,
    standardDeviation: standardDeviation ?? 0,
    low: sorted[first],
    high: sorted[first + held - 1],
  };
}

const meanOf = (blocks: readonly Summary[], figure: keyof Summary): number =>
  plainMean(blocks.map((block) => block[figure])).mean;

/** Twice the standard deviation of the average over the blocks (7.9.4). */
function spread(blocks: readonly Summary[], figure: keyof Summary): number {
  const { standardDeviation, n } = plainMean(blocks.map((block) => block[figure]));
  return (2 * (standardDeviation ?? 0)) / Math.sqrt(n);
}
