import { weightedLine } from '../calc-core/line-fit.ts';
import type { Message } from '../calc-core/message.ts';
import { plainMean } from '../calc-core/plain-mean.ts';
import { message } from '../messages/catalogue.ts';

/** Arithmetic of a bench's set-up: what was held at marks becomes a calibration. Lengths in cm, currents in microamperes. */

/** Means over the samples of a hold, in counts; null for a channel that the board does not have. */
export interface HeldReading {
  samples: number;
  pos: HeldCounts | null;
  gal: HeldCounts | null;
  drv: HeldCounts | null;
  /** Null where the board does not sense it, or where it changed meanwhile. */
  contact: boolean | null;
  /** Null where the board does not sense it, or where it changed meanwhile. */
  row: number | null;
  /** The jockey stayed where it was, on the wire or lifted, all the while. */
  steady: boolean;
  /** The galvanometer's counts reached an end of their span. */
  galSaturated: boolean;
}

export interface HeldCounts {
  mean: number;
  /** Experimental standard deviation of single samples (GUM 4.2.2). */
  standardDeviation: number;
}

/** Smaller moves are no matter: half a millimetre on a metre scale in twelve bits. */
const LEAST_MOVE_COUNTS = 2;
const CLEARLY = 5;

/** Whether counts wandered while they were held: the means of the two halves lie apart by more than their scatter explains. */
export function hasMoved(counts: readonly number[]): boolean {
  if (counts.length < 2) return false;
  const middle = Math.floor(counts.length / 2);
  const [first, second] = [counts.slice(0, middle), counts.slice(middle)].map(plainMean);
  const uMean = ({ standardDeviation, n }: typeof first) => (standardDeviation ?? 0) / Math.sqrt(n);
  const scatter = Math.hypot(uMean(first), uMean(second));
  return Math.abs(second.mean - first.mean) > Math.max(LEAST_MOVE_COUNTS, CLEARLY * scatter);
}

export interface CalibrationPoint {
  counts: number;
  scaleCm: number;
}

export interface CalibrationFit {
  /** Of the least-squares straight line of scale reading on counts. */
  cmPerCount: number;
  zeroCm: number;
  /** Scale reading minus the line, at each point in the order given. */
  residualsCm: number[];
  /** Residual standard deviation; null with two points, which leave none. */
  standardDeviationCm: number | null;
  /**
   * The points may be used as straight pieces: counts must rise or fall throughout.
   * The sentence says what is wrong; null where nothing is.
   */
  trouble: Message | null;
}

/**
 * Straight line of scale reading on counts, all points alike; null where two different counts are missing, or numbers are so
 * large that no line can be worked out.
 */
export function fitCalibration(points: readonly CalibrationPoint[]): CalibrationFit | null {
  const counts = points.map((point) => point.counts);
  const scale = points.map((point) => point.scaleCm);
  const line = weightedLine(
    counts,
    scale,
    points.map(() => 1),
  );
  if (line === null) return null;
  // About the middle of the counts, where the intercept costs no digits.
  const middle = plainMean(counts).mean;
  const atMiddle = plainMean(scale).mean;
  const residualsCm = points.map((point) => point.scaleCm - atMiddle - line.slope * (point.counts - middle));
  const standardDeviationCm = line.dof > 0 ? Math.sqrt(line.chiSquare / line.dof) : null;
  const worked = [line.slope, line.intercept, standardDeviationCm ?? 0, ...residualsCm];
  if (!worked.every(Number.isFinite)) return null;
  return {
    cmPerCount: line.slope,
    zeroCm: line.intercept,
    residualsCm,
    standardDeviationCm,
    trouble: orderTrouble(points),
  };
}

function orderTrouble(points: readonly CalibrationPoint[]): Message | null {
  const sorted = [...points].sort((a, b) => a.scaleCm - b.scaleCm);
  const steps = sorted.slice(1).map((point, index) => point.counts - sorted[index].counts);
  const marks = new Set(sorted.map((point) => point.scaleCm));
  if (marks.size < sorted.length) return message('marks-alike');
  if (steps.every((step) => step > 0) || steps.every((step) => step < 0)) return null;
  return message('counts-astray');
}

/** Microamperes per count from a known current: what the counts moved by, against what was sent through. */
export function galvanometerScale(zeroCounts: number, counts: number, knownUa: number): number | null {
  const moved = counts - zeroCounts;
  return moved === 0 || knownUa === 0 ? null : knownUa / moved;
}

/** Microamperes per count from the front end: one step of the converter over gain times shunt. */
export const frontEndScale = (spanV: number, counts: number, gain: number, shuntOhm: number): number =>
  ((spanV / counts / gain) * 1e6) / shuntOhm;
