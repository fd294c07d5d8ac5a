import type { OutcomeOptions } from './averaged-outcome.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { compareWith } from './comparison.ts';
import { bothAxesLine } from './line-fit.ts';
import { message } from './messages.ts';
import type { ComparisonOutcome } from './outcome.ts';
import type { KnownEmf } from './weston-cell.ts';

/** An EMF from a cell of known EMF on the same wire: E = E_ref·(l + α)/(l_ref + α); and the wire as a measure of voltage. */

/** A cell of known EMF, and which of the two it is. */
export interface ReferenceCell extends KnownEmf {
  cell: 1 | 2;
}

/** EMF of the other cell in V: E1 = E_ref·(E1/E2) where cell 2 is the reference, E2 = E_ref/(E1/E2) where cell 1 is. */
export function emfByReference(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  { cell, emfV, uEmfV }: ReferenceCell,
  options: OutcomeOptions,
): ComparisonOutcome {
  if (!(emfV > 0 && uEmfV >= 0)) {
    const faults: ComparisonOutcome['faults'] = [
      { code: 'sets-senseless', ...message('reference-without-emf') },
    ];
    return { sets: [], byTheBook: null, result: null, endCorrectionCm: null, check: null, faults };
  }
  return compareWith(sets, bench, options, {
    quantity: { quantity: cell === 2 ? 'E1' : 'E2', unit: 'V' },
    factor: {
      symbol: 'E_ref',
      meaning: message('row-reference'),
      value: emfV,
      u: uEmfV,
      unit: 'V',
      ratio: cell === 2 ? 'times' : 'over',
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
