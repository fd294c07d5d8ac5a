import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import { type FitProblem, fitRatio, type RatioFit, rho } from './ratio-fit.ts';

/** The fit that is adopted: what the sets contradict (stated uncertainties, prior of α) is widened first. */

export interface AdoptedFit extends RatioFit {
  /** Birge's ratio in force: how many times more the sets scatter than they say; 1 where they do not. */
  widening: number;
  scatterDof: number;
  /** The one set (by its place in the problem) without which the others agree; null where there is no scatter or no such set. */
  apart: number | null;
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

/**
 * The terminal at A and its lead are worth some centimetres of wire at the very most (common practice, no source). In the
 * test for scatter α is held no tighter than this, so that a wrong bench file is not taken for it, and no looser, so that
 * sets which say nothing of α cannot send it anywhere.
 */
const LOOSE_TIMES = 10;
const LOOSE_LEAST_CM = 5;
/** Beyond so many times that, what the sets want is no end correction: something else is wrong with them. */
const MOST_LOOSE = 3;

/** @returns null where the covariance of the lengths is none (no uncertainty at all, or a senseless one) */
export function adoptFit(problem: FitProblem): AdoptedFit | null {
  const { ratio: widening, dof: scatterDof } = scatterOf(problem);
  const fit = fitRatio({ ...problem, widening });
  if (fit === null) return null;
  const needed = neededPrior(fit, problem.prior);
  const priorCm = needed ?? problem.prior.standardUncertaintyCm;
  const apart = widening > 1 ? setApart(problem) : null;
  const rest = { widening, scatterDof, apart, priorCm, priorWidened: needed !== null };
  const prior = { ...problem.prior, standardUncertaintyCm: priorCm };
  const adopted = needed === null ? fit : fitRatio({ ...problem, widening, prior });
  return adopted && { ...adopted, ...rest, scatterColumns: scatterColumns(problem, adopted, widening) };
}

const looseCm = (prior: FitProblem['prior']): number =>
  Math.max(LOOSE_TIMES * prior.standardUncertaintyCm, LOOSE_LEAST_CM);

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

/** Taken out alone, it leaves sets that agree; null where none or more than one does that. */
function setApart(problem: FitProblem): number | null {
  if (problem.sets.length < 4) return null;
  const without = (which: number) => problem.sets.filter((_, index) => index !== which);
  const found = problem.sets.flatMap((_, index) =>
    scatterOf({ ...problem, sets: without(index) }).ratio === 1 ? [index] : [],
  );
  return found.length === 1 ? found[0] : null;
}

interface Scatter {
  /** 1 where the sets do not scatter beyond chance. */
  ratio: number;
  dof: number;
}

/**
 * Birge's ratio (Phys. Rev. 40, 207 (1932), from memory): root of chi-square over its degrees of freedom, where
 * chi-square is beyond chance. It widens and leaves the weights alone: nobody knows which set is to blame.
 * Tested twice: the sets among themselves, and the sets together with an end correction that there can be.
 */
function scatterOf(problem: FitProblem): Scatter {
  const { sets, prior } = problem;
  const uLooseCm = looseCm(prior);
  const loose = fitRatio({ ...problem, prior: { ...prior, standardUncertaintyCm: uLooseCm } });
  if (loose === null) return { ratio: 1, dof: sets.length - 1 };
  const told = Math.max(0, 1 - (loose.uAlpha / uLooseCm) ** 2);
  const miss = ((loose.alpha - prior.valueCm) / uLooseCm) ** 2;
  const among = beyondChance(loose.chiSquare, sets.length - 1 - told);
  const withEnd = beyondChance(loose.chiSquare + miss, sets.length - 1);
  return withEnd.ratio > among.ratio ? withEnd : among;
}

function beyondChance(chiSquare: number, dof: number): Scatter {
  const sound = dof < 0.5 || chiSquare <= chiSquareQuantile(1 - FALSE_ALARM, dof);
  return { ratio: sound ? 1 : Math.sqrt(chiSquare / dof), dof };
}

/** What the sets alone say of α, parted from the prior by precisions; null where they say next to nothing, or nothing that an end can be. */
function neededPrior(fit: RatioFit, prior: FitProblem['prior']): number | null {
  const before = prior.standardUncertaintyCm ** 2;
  const after = fit.uAlpha ** 2;
  if (!(before - after > 1e-6 * before)) return null;
  const shift = fit.alpha - prior.valueCm;
  if (Math.abs(shift) > MOST_LOOSE * looseCm(prior)) return null;
  // (α_sets - α_prior) in units of its standard deviation
  if (Math.abs(shift) / Math.sqrt(before - after) <= MOST_MISS) return null;
  return Math.abs(shift) * (before / (before - after));
}
