import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import { type FitProblem, fitRatio, type RatioFit } from './ratio-fit.ts';

/** The fit that is adopted: what the sets contradict (stated uncertainties, prior of α) is widened first. */

export interface AdoptedFit extends RatioFit {
  /** Scatter between sets beyond the stated uncertainties, in cm; 0 where they account for it. */
  scatterCm: number;
  scatterDof: number;
  /** Prior standard uncertainty of α in force: widened where the sets contradict it. */
  priorCm: number;
  priorWidened: boolean;
}

/** Chance of calling sound sets scattered: rare, since the widening then costs coverage factor. */
const FALSE_ALARM = 0.01;
/** Standard deviations by which α from the sets alone may miss the prior. */
const MOST_MISS = 3;

export function adoptFit(problem: FitProblem): AdoptedFit | null {
  const freedom = problem.sets.length - 2;
  const scatterCm = freedom > 0 ? excessScatter(problem, freedom) : 0;
  const widened = { ...problem, scatterCm };
  const fit = fitRatio(widened);
  if (fit === null) return null;
  const prior = problem.prior.standardUncertaintyCm;
  const needed = neededPrior(fit, problem.prior);
  const rest = { scatterCm, scatterDof: Math.max(1, freedom) };
  if (needed === null) return { ...fit, ...rest, priorCm: prior, priorWidened: false };
  const again = fitRatio({ ...widened, prior: { ...problem.prior, standardUncertaintyCm: needed } });
  return again && { ...again, ...rest, priorCm: needed, priorWidened: true };
}

/**
 * Standard deviation between sets that brings chi-square down to its degrees of freedom, in the manner of Mandel
 * and Paule (Anal. Chem. 42, 1194 (1970), from memory). Unlike Birge's ratio it leaves the common effects as stated.
 * α is free here, so that a wrong prior is not taken for scatter.
 */
function excessScatter(problem: FitProblem, freedom: number): number {
  const prior = { ...problem.prior, standardUncertaintyCm: Number.POSITIVE_INFINITY };
  const chiSquare = (scatterCm: number) => fitRatio({ ...problem, prior, scatterCm })?.chiSquare ?? 0;
  const unwidened = chiSquare(0);
  if (unwidened <= chiSquareQuantile(1 - FALSE_ALARM, freedom)) return 0;
  let high = 0.01;
  while (chiSquare(high) > freedom && high < 1e4) high *= 4;
  let low = 0;
  for (let step = 0; step < 40 && high - low > 1e-4 * high; step += 1) {
    const middle = (low + high) / 2;
    if (chiSquare(middle) > freedom) low = middle;
    else high = middle;
  }
  return high;
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
