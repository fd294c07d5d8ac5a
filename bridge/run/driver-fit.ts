import type { Matrix } from '../calc-core/cholesky.ts';
import { cholesky, dot, solveLower, solveUpper } from '../calc-core/cholesky.ts';
import { hiddenByStep } from '../detect/tap.ts';
import type { DriverBlock } from './driver-blocks.ts';
import { BLOCK_S, together } from './driver-blocks.ts';

/**
 * The driver current at some moments of one stretch without a change. It is taken for a process that drifts at a rate which itself
 * changes within a time (an integrated Ornstein-Uhlenbeck process); how fast, and how much it wanders beyond what is white, nobody
 * knows, so that the answers are averaged over these, each weighted by how well it explains the readings (Gaussian process
 * regression with its marginal likelihood; C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (MIT Press, 2006),
 * chapters 2 and 5, from memory).
 */

/** Relative drift in 1/s that must be reckoned with where nothing tells: 0.2 % a minute (common practice, no source). */
export const DRIFT_UNKNOWN = 0.002 / 60;
/** Of a driver before it has been watched: median 0.02 % a minute, a factor of six either way likely (common practice, no source). */
const DRIFT_USUAL = 0.0002 / 60;
const DRIFT_LOG_SPREAD = Math.log(6);
/** Rates tried, in units of the usual one. */
const RATES = [0.1, 0.3, 1, 3, 10, 30, 100, 300];
/** Times in s within which a drift's rate changes: mostly a cell that warms, now and then a contact that settles (common practice, no source). */
const STEADY_S = [10, 100];
const SELDOM_S = 10;
const SELDOM = 0.3;
/** How many times the white noise's variance the readings scatter: neighbours may repeat each other. */
const SCATTERS = [1, 5, 25];
const MOST_POINTS = 48;
/** In steps of the converter: keeps what divides by it finite. */
const LEAST_NOISE_STEPS = 1e-3;

export interface CurrentAt {
  mA: number;
  /** Standard uncertainty of the relative drift in 1/s: what two currents of one stretch are unsure of against each other, for each second between them. */
  uDriftPerS: number;
  /** Relative standard uncertainty of this current alone against those of another stretch. */
  uAlone: number;
}

/** Two moments nearer to each other tell no rate; it is then taken over so many seconds to either side. */
const LEAST_SPAN_S = 1;
const RATE_OVER_S = 5;

/**
 * @param blocks of one stretch, at least one
 * @param atS moments, in any order
 * @param stepMa of the converter
 */
export function currentsAt(
  blocks: readonly DriverBlock[],
  atS: readonly number[],
  stepMa: number,
): CurrentAt[] {
  const levelMa = together(blocks).mA;
  const seen = seenIn(blocks, levelMa, stepMa);
  const moments = apart(atS);
  const slope = slopeWeights(moments);
  const shapes = STEADY_S.map((steadyS) => driftShape(seen.tS, moments, slope, steadyS));
  const fits = RATES.flatMap((rate) =>
    shapes.flatMap((shape) =>
      SCATTERS.map((scatter) => fitOf(seen, shape, { rate: rate * DRIFT_USUAL, scatter })),
    ),
  ).filter((fit) => fit !== null);
  const weighted = weightedBy(fits);
  const off = moments.map((_, index) => weighted((fit) => fit.off[index]));
  const drift = dot(slope, off);
  const variance = weighted((fit) => fit.driftVariance + (dot(slope, fit.off) - drift) ** 2);
  const uDriftPerS = Math.sqrt(variance);
  return atS.map((_, index) => ({ mA: levelMa * (1 + off[index]), uDriftPerS, uAlone: 0 }));
}

function apart(atS: readonly number[]): number[] {
  const [first, last] = [Math.min(...atS), Math.max(...atS)];
  return last - first > LEAST_SPAN_S ? [...atS] : [...atS, first - RATE_OVER_S, last + RATE_OVER_S];
}

/** Weights by which a straight line through values at these moments has its slope. */
function slopeWeights(moments: readonly number[]): number[] {
  const middle = moments.reduce((sum, tS) => sum + tS, 0) / moments.length;
  const squares = moments.reduce((sum, tS) => sum + (tS - middle) ** 2, 0);
  return moments.map((tS) => (tS - middle) / squares);
}

/** The mean over the fits, each as likely as it explains the readings. */
function weightedBy(fits: readonly Fit[]): (of: (fit: Fit) => number) => number {
  const best = Math.max(...fits.map(({ logWeight }) => logWeight));
  const weights = fits.map(({ logWeight }) => Math.exp(logWeight - best));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return (of) => fits.reduce((sum, fit, index) => sum + (weights[index] / total) * of(fit), 0);
}

/** The readings of a stretch, relative to its level. */
interface Seen {
  tS: number[];
  off: number[];
  /** Variance of each point's white noise. */
  noise: number[];
  /** What the converter's steps hide of each point. */
  hidden: Matrix;
}

function seenIn(blocks: readonly DriverBlock[], levelMa: number, stepMa: number): Seen {
  const each = Math.ceil(blocks.length / MOST_POINTS);
  const points = Array.from({ length: Math.ceil(blocks.length / each) }, (_, index) =>
    together(blocks.slice(index * each, (index + 1) * each)),
  );
  const off = points.map(({ mA }) => mA / levelMa - 1);
  const step = Math.abs(stepMa / levelMa);
  const shown = sensitivityOf(together(blocks).variance / stepMa ** 2, spreadOf(off) / step);
  const hiddenVariance = shown.hiddenSteps2 * step ** 2;
  const noise = points.map(
    ({ variance, readings }) =>
      (variance / levelMa ** 2 / shown.gain ** 2 + LEAST_NOISE_STEPS * step ** 2) / readings +
      HIDDEN_ALONE * hiddenVariance,
  );
  const tS = points.map((point) => point.tS);
  return { tS, off, noise, hidden: hiddenBy(tS, off, hiddenVariance, step) };
}

/** Share of what is hidden that is hidden of one point alone: steps hide a tremble as they hide a drift. */
const HIDDEN_ALONE = 0.02;

const spreadOf = (off: readonly number[]): number => Math.sqrt(dot(off, off) / off.length);

/** Variance in steps² that readings of no more than two neighbouring counts can have. */
const TWO_COUNTS = 1 / 4;
/** Noise in steps that still shows no third count, and the density of a normal distribution at its middle over it. */
const GAIN_AT_BORDER = 0.4 / 0.35;
const LEAST_GAIN = 0.15;
/** In steps: of a change under this nothing is shown. */
const LEAST_SHOWN = 0.003;
/** Noise of less than a step need not be normal, as hum is not: it may leave so many steps hidden (common practice, no source). */
const ODD_NOISE_STEPS = 0.07;

/**
 * How much of a change of the current the readings show, and the variance in steps² that they hide. Noise of a good part of a step
 * carries the mean across the steps (Gray and Stockham, see `hiddenByStep`). With less, two counts are seen: their shares go with the
 * current the more the nearer they are to each other (the normal density at the border by its share, roughly), so no
 * change can be hidden that is large beside the one shown; where but one count is seen, a whole step can.
 */
function sensitivityOf(variance: number, shownSteps: number): { gain: number; hiddenSteps2: number } {
  if (variance > 1) return { gain: 1, hiddenSteps2: hiddenByStep(variance, 1) };
  if (variance > TWO_COUNTS)
    return { gain: 1, hiddenSteps2: Math.max(ODD_NOISE_STEPS ** 2, hiddenByStep(variance, 1)) };
  const gain = Math.min(1, GAIN_AT_BORDER * (variance / TWO_COUNTS) ** 0.8);
  const hidden = Math.max(LEAST_SHOWN, shownSteps) / Math.max(LEAST_SHOWN, gain);
  return { gain: Math.max(LEAST_GAIN, gain), hiddenSteps2: Math.min(1 / 12, hidden ** 2) };
}

/** Share of a step of current beyond which what is hidden is another: a sawtooth. */
const SAME_STEP = 0.3;

/** What is hidden stays the same while the current stays within a count: for as long as it takes on the mean to the next. */
function hiddenBy(tS: readonly number[], off: readonly number[], variance: number, step: number): Matrix {
  const range = (Math.max(...off) - Math.min(...off)) / step;
  const withinS = Math.max(BLOCK_S, tS[tS.length - 1] - tS[0]) / (1 + range);
  return tS.map((at, i) =>
    tS.map((other, j) => {
      const apartInTime = (at - other) / withinS;
      const apartInSteps = (off[i] - off[j]) / (SAME_STEP * step);
      return variance * Math.exp(-(apartInTime ** 2) - apartInSteps ** 2);
    }),
  );
}

interface Hypothesis {
  /** Relative drift in 1/s: its standard deviation. */
  rate: number;
  scatter: number;
}

interface Fit {
  /** Relative to the level, at each moment. */
  off: number[];
  /** Of the slope of a straight line through these. */
  driftVariance: number;
  logWeight: number;
}

/** Null where rounding leaves no covariance. */
function fitOf(seen: Seen, shape: DriftShape, { rate, scatter }: Hypothesis): Fit | null {
  const { off, noise, hidden } = seen;
  const size = rate ** 2;
  const covariance = shape.seen.map((row, i) =>
    row.map((drift, j) => size * drift + hidden[i][j] + (i === j ? scatter * noise[i] : 0)),
  );
  const lower = cholesky(covariance);
  if (lower === null) return null;
  const ones = solveLower(lower, Array(off.length).fill(1));
  const seenOff = solveLower(lower, off);
  const weight = dot(ones, ones);
  const constant = dot(ones, seenOff) / weight;
  const rest = seenOff.map((value, index) => value - constant * ones[index]);
  const pulls = solveUpper(lower, rest);
  const reached = solveLower(
    lower,
    shape.slopeToSeen.map((drift) => size * drift),
  );
  return {
    off: shape.between.map((row) => constant + size * dot(row, pulls)),
    // The weights of a slope add up to nothing, so the level has no part in it but by what the readings reach.
    driftVariance: size * shape.slopeVariance - dot(reached, reached) + dot(reached, ones) ** 2 / weight,
    logWeight:
      logPrior(rate, shape.steadyS) - (dot(rest, rest) + logDeterminant(lower) + Math.log(weight)) / 2,
  };
}

const logDeterminant = (lower: Matrix): number =>
  lower.reduce((sum, row, index) => sum + 2 * Math.log(row[index]), 0);

const logPrior = (rate: number, steadyS: number): number =>
  (steadyS === SELDOM_S ? Math.log(SELDOM) : 0) - (Math.log(rate / DRIFT_USUAL) / DRIFT_LOG_SPREAD) ** 2 / 2;

/** Covariance of the drift, for a rate of 1/s, between the moments that were read and those that are asked for. */
interface DriftShape {
  steadyS: number;
  seen: Matrix;
  between: Matrix;
  /** The slope through the moments asked for: its covariance with each moment that was read, and its variance. */
  slopeToSeen: number[];
  slopeVariance: number;
}

/** Of a current at two times, from where it was at the first: half the variogram of either, less half that between them. */
function driftShape(
  seenS: readonly number[],
  atS: readonly number[],
  slope: readonly number[],
  steadyS: number,
): DriftShape {
  const variogram = (apartS: number): number => {
    const times = Math.abs(apartS) / steadyS;
    return 2 * steadyS ** 2 * (times + Math.expm1(-times));
  };
  const [fromS] = seenS;
  const between = (rows: readonly number[], columns: readonly number[]): Matrix =>
    rows.map((a) => columns.map((b) => (variogram(a - fromS) + variogram(b - fromS) - variogram(a - b)) / 2));
  const ofSlope = (rows: Matrix): number[] => rows.map((row) => dot(row, slope));
  return {
    steadyS,
    seen: between(seenS, seenS),
    between: between(atS, seenS),
    slopeToSeen: ofSlope(between(seenS, atS)),
    slopeVariance: dot(slope, ofSlope(between(atS, atS))),
  };
}
