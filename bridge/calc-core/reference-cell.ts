import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { type ComparisonOptions, compareWith } from './comparison.ts';
import { bothAxesLine } from './line-fit.ts';
import type { ComparisonOutcome } from './outcome.ts';
import type { KnownEmf } from './weston-cell.ts';

/** An EMF from a cell of known EMF on the same wire: E = E_ref·(l + α)/(l_ref + α). */

/** `sets` hold the unknown cell as l1 and the reference cell as l2; the outcome's quantity is E in V. */
export function emfByReference(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  reference: KnownEmf,
  options: ComparisonOptions,
): ComparisonOutcome {
  if (!(reference.emfV > 0 && reference.uEmfV >= 0)) {
    const text = 'The EMF of the reference cell must be above 0 and its standard uncertainty stated.';
    const faults: ComparisonOutcome['faults'] = [{ code: 'sets-senseless', text }];
    return { sets: [], byTheBook: null, result: null, endCorrectionCm: null, check: null, faults };
  }
  return compareWith(sets, bench, options, {
    quantity: { quantity: 'E', unit: 'V' },
    factor: {
      symbol: 'E_ref',
      meaning: 'EMF of the reference cell',
      value: reference.emfV,
      u: reference.uEmfV,
      unit: 'V',
    },
  });
}

export interface WirePoint extends KnownEmf {
  lengthCm: number;
  uLengthCm: number;
}

/** The wire as a measure of voltage at one driver current: E = gradient·(l + α). */
export interface WireLine {
  gradientVPerCm: number;
  uGradientVPerCm: number;
  interceptV: number;
  uInterceptV: number;
  /** Covariance of intercept and gradient in V²/cm. */
  covariance: number;
  endCorrectionCm: number;
  uEndCorrectionCm: number;
  chiSquare: number;
  dof: number;
}

/** Line through the nulls of cells of known EMF, errors in both axes. Null for fewer than two different lengths. */
export function wireLine(points: readonly WirePoint[]): WireLine | null {
  const line = bothAxesLine(
    points.map(({ lengthCm, uLengthCm, emfV, uEmfV }) => ({
      x: lengthCm,
      y: emfV,
      ux: uLengthCm,
      uy: uEmfV,
    })),
  );
  if (line === null || line.slope === 0) return null;
  const alpha = line.intercept / line.slope;
  const variance = line.uIntercept ** 2 + (alpha * line.uSlope) ** 2 - 2 * alpha * line.covariance;
  return {
    gradientVPerCm: line.slope,
    uGradientVPerCm: line.uSlope,
    interceptV: line.intercept,
    uInterceptV: line.uIntercept,
    covariance: line.covariance,
    endCorrectionCm: alpha,
    uEndCorrectionCm: Math.sqrt(variance) / Math.abs(line.slope),
    chiSquare: line.chiSquare,
    dof: line.dof,
  };
}

/** Voltage that a length of wire stands for, from the line; the covariance of its two numbers counts (GUM H.3.4). */
export function voltageAt(line: WireLine, lengthCm: number, uLengthCm: number): KnownEmf {
  const variance =
    line.uInterceptV ** 2 + (lengthCm * line.uGradientVPerCm) ** 2 + 2 * lengthCm * line.covariance;
  return {
    emfV: line.interceptV + line.gradientVPerCm * lengthCm,
    uEmfV: Math.hypot(Math.sqrt(Math.max(0, variance)), line.gradientVPerCm * uLengthCm),
  };
}
