import type { NormalPart } from './mixture.ts';
import type { RatioSet } from './ratio-sets.ts';

/** What is averaged over, and its parts. */

export interface AveragedProblem {
  sets: readonly RatioSet[];
  /** Columns over the inputs of errors of known size, standard deviation 1 each. */
  columns: readonly (readonly number[])[];
  /** Effects whose size is not known for sure, and the sizes that they may have together. */
  scaled: readonly ScaledEffect[];
  scenarios: readonly SizeScenario[];
  /** The prior of the end correction as a mixture. */
  endCorrection: readonly NormalPart[];
  slips: readonly Slip[];
}

export interface ScaledEffect {
  /** Covariance of two inputs at the size 1. */
  covariance(a: number, b: number): number;
}

export interface SizeScenario {
  /** Factor on the standard deviation of each scaled effect. */
  factors: readonly number[];
  probability: number;
}

/** Something that happens seldom and moves inputs together: a length misread, a cell that jumps. */
export interface Slip {
  /** How the inputs move for a slip of size 1. */
  column: readonly number[];
  sizes: readonly { u: number; probability: number }[];
}

/** One combination: sizes of the scaled effects, a part of the end correction's prior, and the slips that happened. */
export interface FittedPart extends NormalPart {
  scenario: SizeScenario;
  endPart: number;
  slips: readonly PickedSlip[];
  alphaCm: number;
  alphaVariance: number;
}

export interface PickedSlip {
  slip: number;
  size: number;
}

/** Scalar products of residuals (y), θ's direction (b) and α's (a), in units of a covariance. */
export interface WhitenedProducts {
  yy: number;
  yb: number;
  ya: number;
  bb: number;
  ba: number;
  aa: number;
}

/** Residuals, the directions of θ and α, and the slips in units of one scenario's covariance, by their scalar products. */
export interface Whitened {
  scenario: SizeScenario;
  products: WhitenedProducts;
  /** Of each slip with itself, with residuals and with directions. */
  slipProducts: readonly { own: number; y: number; b: number; a: number }[];
  /** Of two slips. */
  crossProduct(one: number, other: number): number;
  /** Logarithm of the scenario's probability over the root of the covariance's determinant. */
  logWeight: number;
}
