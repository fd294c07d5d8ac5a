import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import { type FitProblem, fitRatio, type RatioFit, rho } from './ratio-fit.ts';

/** The fit that is adopted: what the sets contradict (stated uncertainties, prior of α) is widened first. */

export interface AdoptedFit extends RatioFit {
  /** Birge's ratio in force: how many times more the sets scatter than they say; 1 where they do not. */
  widening: number;
  scatterDof: number;
  /** What the widening adds, as columns over the inputs: it acts on the lower length of each set. */
  scatterColumns: number[][];
  /** Prior standard uncertainty of α in force: widened where the sets contradict it. */
  priorCm: number;
  priorWidened: boolean;
}

/** Chance of calling sound sets scattered: rare, since the widening then costs coverage factor. */
const FALSE_ALARM = 0.01;
/** Standard deviations by which α from the sets alone may miss the prior: far enough that a sound bench file is all but never
 * set aside, for without it a few sets leave α, and the result, ten times less certain. */
const MOST_MISS = 4;

export function adoptFit(problem: FitProblem): AdoptedFit | null {
  const scatterDof = problem.sets.length - 2;
  const widening = scatterDof > 0 ? birgeRatio(problem, scatterDof) : 1;
  const fit = fitRatio({ ...problem, widening });
  if (fit === null) return null;
  const needed = neededPrior(fit, problem.prior);
  const priorCm = needed ?? problem.prior.standardUncertaintyCm;
  const rest = { widening, scatterDof, priorCm, priorWidened: needed !== null };
  const prior = { ...problem.prior, standardUncertaintyCm: priorCm };
  const adopted = needed === null ? fit : fitRatio({ ...problem, widening, prior });
  return adopted && { ...adopted, ...rest, scatterColumns: scatterColumns(problem, adopted, widening) };
}

function scatterColumns({ sets, columns }: FitProblem, fit: RatioFit, widening: number): number[][] {
  if (widening === 1) return [];
  const share = Math.sqrt(1 - 1 / widening ** 2);
  return sets.map((_, which) => {
    const column = new Array<number>(columns[0].length).fill(0);
    sets.forEach((set, index) => {
      column[set.lowerAt] = (-share * fit.factor[index][which]) / rho(set, fit.theta);
    });
    return column;
  });
}

/**
 * Root of chi-square over its degrees of freedom where chi-square is beyond chance (Birge, Phys. Rev. 40, 207 (1932),
 * from memory), else 1. It widens and leaves the weights alone: nobody knows which set is to blame.
 * α is free here, so that a wrong prior is not taken for scatter.
 */
function birgeRatio(problem: FitProblem, dof: number): number {
  const prior = { ...problem.prior, standardUncertaintyCm: Number.POSITIVE_INFINITY };
  const free = fitRatio({ ...problem, prior });
  if (free === null || free.chiSquare <= chiSquareQuantile(1 - FALSE_ALARM, dof)) return 1;
  return Math.sqrt(free.chiSquare / dof);
}

/** What the sets alone say of α, parted from the prior by precisions; null where they say next to nothing. */
function neededPrior(fit: RatioFit, prior: FitProblem['prior']): number | null {
  const before = prior.standardUncertaintyCm ** 2;
  const after = fit.uAlpha ** 2;
  if (!(before - after > 1e-6 * before)) return null;
  const shift = fit.alpha - prior.valueCm;
  // (α_sets - α_prior) in units of its standard deviation
  if (Math.abs(shift) / Math.sqrt(before - after) <= MOST_MISS) return null;
  return Math.abs(shift) * (before / (before - after));
}
