import { lowerMedian } from '../calc-core/median.ts';
import { LAG_GRID_MS } from './estimate/lag-filter.ts';
import { robustSigma } from './estimate/noise.ts';
import type { Release } from './release.ts';

/**
 * The lag of the current, shared by all passes of a run: what lifted jockeys showed, and how well each pass
 * fits at each trial lag, gathered on the grid of lags.
 */

/** Lag in seconds with its standard uncertainty. */
export interface Lag {
  lagS: number;
  uS: number;
}

/**
 * Before anything is known: an exponential prior with this mean, in milliseconds (common practice: RC filters of a few
 * ms).
 */
const PRIOR_MEAN_MS = 5;
/** Newest releases and passes that have a say: bounds memory (common practice, no source). */
const MOST_KEPT = 200;
/**
 * Releases repeat one filter; their median is not believed beyond this share of the lag, nor beyond this many ms
 * (common practice, no source).
 */
const RELEASE_FLOOR_SHARE = 0.02;
const RELEASE_FLOOR_MS = 0.25;

/** What one pass says of the lag by its own fit: best value, and how fast the misfit rises around it. */
export interface LagOfPass {
  /** Misfit over the noise's variance at each lag of `LAG_GRID_MS`, less its least. */
  cost: Float64Array;
  /** Null where the pass hardly cares. */
  best: { lagMs: number; sigmaMs: number } | null;
}

/** Twice a negative log likelihood of the lag in milliseconds, up to a constant. */
export type LagCost = (lagMs: number) => number;

/**
 * The lag by what was known at a moment: the answer stays the same when more is learnt.
 * @param further what the caller knows besides
 */
export type LagEstimator = (further?: LagCost) => Lag;

export class LagKnowledge {
  /** The lag by what is known until now. */
  estimate: LagEstimator;
  private readonly releases: Release[] = [];
  private releaseMean: Middle = null;
  private readonly sharp: { lagMs: number; sigmaMs: number }[] = [];
  private sharpMean: Middle = null;
  /** Of passes that hardly care, on the grid. */
  private readonly blunt = new Float64Array(LAG_GRID_MS.length);

  constructor() {
    this.estimate = this.estimator();
  }

  addRelease(release: Release): void {
    this.releases.push(release);
    if (this.releases.length > MOST_KEPT) this.releases.shift();
    this.releaseMean = middleOf(this.releases);
    this.estimate = this.estimator();
  }

  addPass({ cost, best }: LagOfPass): void {
    if (best === null) {
      for (let at = 0; at < cost.length; at += 1) this.blunt[at] += Math.min(cost[at], BLUNT);
    } else {
      this.sharp.push(best);
      if (this.sharp.length > MOST_KEPT) this.sharp.shift();
      this.sharpMean = weightedMean(this.sharp);
    }
    this.estimate = this.estimator();
  }

  private estimator(): LagEstimator {
    const { releaseMean, sharpMean } = this;
    const blunt = this.blunt.slice();
    return (further = () => 0) =>
      posterior(
        (lagMs) => priorCost(releaseMean, lagMs) + passesCost(blunt, sharpMean, lagMs) + further(lagMs),
      );
  }
}

type Middle = { ms: number; sigmaMs: number } | null;

function passesCost(blunt: Float64Array, sharpMean: Middle, lagMs: number): number {
  const bluntCost = atLag(blunt, lagMs);
  return sharpMean === null ? bluntCost : bluntCost + ((lagMs - sharpMean.ms) / sharpMean.sigmaMs) ** 2;
}

const priorCost = (releaseMean: Middle, lagMs: number): number =>
  releaseMean === null ? (2 * lagMs) / PRIOR_MEAN_MS : ((lagMs - releaseMean.ms) / releaseMean.sigmaMs) ** 2;

/** A pass whose misfit rises by less than this over all lags hardly cares which. */
export const BLUNT = 25;

/**
 * Weighted mean; where the passes disagree beyond their own spreads, its spread is widened by as much (Birge's ratio).
 */
function weightedMean(lags: readonly { lagMs: number; sigmaMs: number }[]): { ms: number; sigmaMs: number } {
  let weights = 0;
  let sum = 0;
  for (const { lagMs, sigmaMs } of lags) {
    weights += sigmaMs ** -2;
    sum += lagMs * sigmaMs ** -2;
  }
  const ms = sum / weights;
  const chiSquare = lags.reduce((total, lag) => total + ((lag.lagMs - ms) / lag.sigmaMs) ** 2, 0);
  const widening = Math.max(1, chiSquare / Math.max(1, lags.length - 1));
  return { ms, sigmaMs: Math.sqrt(widening / weights) };
}

/** Standard deviation of a median over that of a mean, for many normal values: sqrt(pi/2). */
const MEDIAN_U = Math.sqrt(Math.PI / 2);

/**
 * Median of what releases showed, and how sure it is. A blade that scrapes while it lifts shows too long a
 * lag, so the median and not the mean; half of the releases may mislead.
 */
function middleOf(seen: readonly Release[]): { ms: number; sigmaMs: number } {
  const told = seen.filter((release) => release.uS < release.lagS / 2);
  if (told.length === 0) return tightestOf(seen);
  const lags = told.map((release) => release.lagS * 1000);
  const ms = lowerMedian(lags);
  const spread = robustSigma(Float64Array.from(lags, (lag) => lag - ms));
  const own = Math.min(...told.map((release) => release.uS * 1000));
  const ofMedian = (MEDIAN_U * Math.max(spread, own)) / Math.sqrt(lags.length);
  return { ms, sigmaMs: Math.hypot(ofMedian, RELEASE_FLOOR_SHARE * ms, RELEASE_FLOOR_MS) };
}

/** Falls that were over too soon give bounds only: they have no say beside those that show the lag, and no mean. */
function tightestOf(bounds: readonly Release[]): { ms: number; sigmaMs: number } {
  const tightest = bounds.reduce((best, next) => (next.uS < best.uS ? next : best));
  return { ms: tightest.lagS * 1000, sigmaMs: tightest.uS * 1000 };
}

/** The integration goes so many standard deviations to either side of the cost's least, in so many steps a side. */
const STEPS = 40;
const REACH_SIGMAS = 5;
/** In ms²: a tenth of a microsecond is as good as certain, and keeps what divides by it finite. */
const LEAST_VARIANCE_MS2 = 1e-8;

/** Mean and standard deviation of exp(-cost/2), the cost taken as parabolas between the grid's lags. */
function posterior(costAt: LagCost): Lag {
  const atMs = leastAtMs(costAt);
  const sigmaMs = oneSigma(costAt, atMs);
  const least = costAt(atMs);
  let weights = 0;
  let sum = 0;
  let squares = 0;
  for (let step = -STEPS; step <= STEPS; step += 1) {
    const lagMs = atMs + (step * REACH_SIGMAS * sigmaMs) / STEPS;
    if (lagMs < 0 || lagMs > LONGEST_MS) continue;
    const weight = Math.exp(-(costAt(lagMs) - least) / 2);
    weights += weight;
    sum += weight * (lagMs - atMs);
    squares += weight * (lagMs - atMs) ** 2;
  }
  const off = sum / weights;
  const variance = Math.max(squares / weights - off * off, LEAST_VARIANCE_MS2);
  return { lagS: (atMs + off) / 1000, uS: Math.sqrt(variance) / 1000 };
}

const LONGEST_MS = LAG_GRID_MS[LAG_GRID_MS.length - 1];

/** Steps of the search for the least cost in ms: each a fifth of the one before. */
const SEARCH_STEPS_MS = [5, 1, 0.2, 0.04, 0.008, 0.0016, 0.00032];

/** The lag at which a cost is least, by ever finer steps. */
export function leastAtMs(costAt: LagCost): number {
  let atMs = 0;
  let reach = LONGEST_MS;
  for (const stepMs of SEARCH_STEPS_MS) {
    const from = Math.max(0, atMs - reach);
    const to = Math.min(LONGEST_MS, atMs + reach);
    let least = costAt(atMs);
    for (let lagMs = from; lagMs <= to; lagMs += stepMs) {
      const cost = costAt(lagMs);
      if (cost < least) [least, atMs] = [cost, lagMs];
    }
    reach = stepMs;
  }
  return atMs;
}

/** From how far on, and how fast, it is looked for where the cost has risen by one: known to within the factor. */
const LEAST_REACH_MS = 0.0005;
const REACH_GROWS = 1.3;

/** How far one must go, on the side where it is further, for the cost to rise by one. */
function oneSigma(costAt: LagCost, atMs: number): number {
  const least = costAt(atMs);
  let reach = LEAST_REACH_MS;
  const inside = (lagMs: number) => lagMs >= 0 && lagMs <= LONGEST_MS && costAt(lagMs) < least + 1;
  while (inside(atMs + reach) || inside(atMs - reach)) reach *= REACH_GROWS;
  return reach;
}

/** The parabola that counts at a lag, by the grid lag in its middle. */
function parabolaAt(lagMs: number): number {
  let middle = 1;
  while (middle < LAG_GRID_MS.length - 2 && lagMs > edgeMs(middle)) middle += 1;
  return middle;
}

/** Where the parabola about a grid lag gives way to the next. */
const edgeMs = (middle: number): number => (LAG_GRID_MS[middle] + LAG_GRID_MS[middle + 1]) / 2;

const QUARTIC_POINTS = 5;

/**
 * The same cost, asked for only five times for each parabola of `atLag`: a sum of squares of what `atLag` gives is of the fourth
 * degree along each. Divided differences by Newton.
 */
export function quarticCost(cost: LagCost): LagCost {
  const pieces = new Map<number, { atMs: number[]; differences: number[] }>();
  const pieceFor = (middle: number) => {
    const [from, to] = [edgeMs(middle - 1), edgeMs(middle)];
    const atMs = Array.from(
      { length: QUARTIC_POINTS },
      (_, index) => from + ((index + 0.5) * (to - from)) / QUARTIC_POINTS,
    );
    const differences = atMs.map(cost);
    for (let order = 1; order < QUARTIC_POINTS; order += 1) {
      for (let index = QUARTIC_POINTS - 1; index >= order; index -= 1)
        differences[index] =
          (differences[index] - differences[index - 1]) / (atMs[index] - atMs[index - order]);
    }
    return { atMs, differences };
  };
  return (lagMs) => {
    const middle = parabolaAt(lagMs);
    const piece = pieces.get(middle) ?? pieceFor(middle);
    pieces.set(middle, piece);
    return piece.differences.reduceRight(
      (sum, difference, index) => sum * (lagMs - piece.atMs[index]) + difference,
      0,
    );
  };
}

/** A quantity tabulated on the grid of lags, at any lag: the parabola through the three nearest grid lags. */
export function atLag(values: ArrayLike<number>, lagMs: number): number {
  const middle = parabolaAt(lagMs);
  const a = LAG_GRID_MS[middle - 1];
  const b = LAG_GRID_MS[middle];
  const c = LAG_GRID_MS[middle + 1];
  const toA = lagMs - a;
  const toB = lagMs - b;
  const toC = lagMs - c;
  return (
    (values[middle - 1] * toB * toC) / ((a - b) * (a - c)) +
    (values[middle] * toA * toC) / ((b - a) * (b - c)) +
    (values[middle + 1] * toA * toB) / ((c - a) * (c - b))
  );
}
