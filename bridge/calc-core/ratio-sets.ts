import type { Matrix } from './cholesky.ts';

/**
 * Sets of two lengths that share one quantity θ and the end correction α: upper + α = ρ·(lower + α) with ρ = offset + θ·slope.
 * E1/E2: offset 0, slope 1. Internal resistance r: offset 1, slope 1/R.
 */
export interface RatioSet {
  /** Lengths in cm, strips counted in. */
  upper: number;
  lower: number;
  /** Which inputs they are; sets may share an input. */
  upperAt: number;
  lowerAt: number;
  offset: number;
  slope: number;
  /** Change of `slope` per unit of the input at `thirdAt` (the load); 0 where there is none. */
  slopeRate: number;
  thirdAt: number;
}

/** Where the residuals upper + α - ρ·(lower + α) are made linear. */
export interface Origin {
  theta: number;
  alphaCm: number;
}

/** The residuals of the sets in cm and how they move with θ, α and each input. */
export interface LinearSets {
  residuals: number[];
  byTheta: number[];
  byAlpha: number[];
  /** What moves of the inputs do to the residuals. */
  project(column: ArrayLike<number>): number[];
  /** Covariance of the residuals from that of the inputs. */
  projectCovariance(between: (a: number, b: number) => number): Matrix;
}

export const rhoOf = (set: RatioSet, theta: number): number => set.offset + theta * set.slope;

/** θ of one set by itself. */
export const thetaOf = (set: RatioSet, alphaCm: number): number =>
  ((set.upper + alphaCm) / (set.lower + alphaCm) - set.offset) / set.slope;

export function linearise(sets: readonly RatioSet[], { theta, alphaCm }: Origin): LinearSets {
  const moves = sets.map((set) => movesOf(set, theta, alphaCm));
  return {
    residuals: sets.map((set) => set.upper + alphaCm - rhoOf(set, theta) * (set.lower + alphaCm)),
    byTheta: sets.map((set) => -set.slope * (set.lower + alphaCm)),
    byAlpha: sets.map((set) => 1 - rhoOf(set, theta)),
    project: (column) =>
      moves.map((ofSet) => ofSet.reduce((sum, { at, rate }) => sum + rate * column[at], 0)),
    projectCovariance: (between) =>
      moves.map((a) =>
        moves.map((b) => {
          let sum = 0;
          for (const one of a)
            for (const other of b) sum += one.rate * other.rate * between(one.at, other.at);
          return sum;
        }),
      ),
  };
}

/** The inputs that move a set's residual, and by how much for each unit. */
function movesOf(set: RatioSet, theta: number, alphaCm: number): { at: number; rate: number }[] {
  const lengths = [
    { at: set.upperAt, rate: 1 },
    { at: set.lowerAt, rate: -rhoOf(set, theta) },
  ];
  if (set.slopeRate === 0) return lengths;
  return [...lengths, { at: set.thirdAt, rate: -theta * set.slopeRate * (set.lower + alphaCm) }];
}
