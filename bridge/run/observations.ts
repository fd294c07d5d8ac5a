import type { BalancingLength } from '../calc-core/balancing-length.ts';
import { driftFromRepeats } from '../calc-core/repeat-drift.ts';
import type { ResolvedNull } from './resolve-nulls.ts';

/** Nulls of one place into one balancing length, and lengths into sets. */

export interface Combined {
  length: BalancingLength;
  nulls: ResolvedNull[];
  /** Position calibration error at its place, in cm. */
  uPositionCm: number;
  uReadCm: number;
  uCm: number;
  /** Chi-square of the nulls about their mean over its degrees of freedom, where that is more than chance allows. */
  scatter: { ratio: number; dof: number; cm: number } | null;
}

/** Why a null does not count; empty where it does. */
export function whyNotUsed(null_: ResolvedNull, procedure: string): string {
  if (null_.rejected !== null) return `rejected${null_.rejected === '' ? '' : `: ${null_.rejected}`}`;
  if (null_.labels.protect) return 'protective resistance in: it guides, and does not count';
  if (null_.labels.row === null) return 'the row is not known';
  if (null_.labels.cell === null) return 'the cell is not known';
  if (procedure === 'emf-comparison' && null_.labels.load) return 'a load resistance was across the cell';
  return '';
}

/** What the lengths of a set are brought to: mean driver current and mean time of its nulls. */
export interface SetCurrent {
  set: number;
  mA: number;
  atS: number;
  /** False where nothing measured it and the currents are in units of the set's mean. */
  measured: boolean;
}

/** Null without a driver channel. */
export function setCurrent(nulls: readonly ResolvedNull[]): SetCurrent | null {
  const sensed = nulls.filter((null_) => null_.by !== 'eye' && null_.current !== null);
  if (sensed.length === 0) return null;
  const mean = (of: (null_: ResolvedNull) => number) =>
    sensed.reduce((sum, null_) => sum + of(null_), 0) / sensed.length;
  const atS = mean((null_) => null_.tS);
  return { set: nulls[0].set, mA: mean((null_) => null_.current?.mA ?? 0), atS, measured: true };
}

/** A drift that the repeats show at less than this many standard uncertainties is no drift. */
const PLAIN_DRIFT = 3;
/** What even a perfect bench scatters from pass to pass: the blade's own width and play, in cm (common practice, no source). */
export const PLAY_CM = 0.002;

/**
 * The nulls of a set with their currents. Where no channel measures the driver, repeats of one length that move with time
 * tell its drift, and the currents are then relative to their mean.
 */
export function withCurrents(
  nulls: ResolvedNull[],
  correlationCm: number,
): { nulls: ResolvedNull[]; current: SetCurrent | null } {
  const current = setCurrent(nulls);
  const sensed = nulls.filter((null_) => null_.by !== 'eye');
  if (current !== null || sensed.length < 2) return { nulls, current };
  const atS = sensed.reduce((sum, null_) => sum + null_.tS / sensed.length, 0);
  const drift = driftFromRepeats(
    sensed.map((null_) => ({
      group: lengthOf(null_),
      lengthCm: null_.lengthCm as number,
      uCm: differenceCm(null_, sensed, correlationCm),
      tS: null_.tS - atS,
    })),
  );
  if (drift === null || Math.abs(drift.perS) < PLAIN_DRIFT * drift.uPerS) return { nulls, current };
  const drifting = nulls.map((null_) => ({
    ...null_,
    current: { mA: 1 + drift.perS * (null_.tS - atS), uDriftPerS: drift.uPerS },
  }));
  return { nulls: drifting, current: { set: nulls[0].set, mA: 1, atS, measured: false } };
}

/** Nulls with the same text are repeats of one length. */
const lengthOf = ({ labels }: ResolvedNull): string =>
  labels.load ? `${labels.cell} with ${labels.loadOhm} ohm` : `${labels.cell}`;

/** Standard uncertainty in cm of what tells this null from repeats of it. */
function differenceCm(null_: ResolvedNull, among: readonly ResolvedNull[], correlationCm: number): number {
  const repeats = among.filter((other) => lengthOf(other) === lengthOf(null_));
  const own = Math.sqrt(null_.ownVarianceCm2);
  return Math.hypot(own, null_.lagCm, PLAY_CM, placeSpreadCm(repeats, correlationCm));
}

/**
 * How much the sensor's calibration error differs between nulls of one length, in cm for each: nothing at one place, more as
 * a drifting driver moves the null along the scale or into the next row.
 */
function placeSpreadCm(nulls: readonly ResolvedNull[], correlationCm: number): number {
  const [first] = nulls;
  const furthest = Math.max(
    ...nulls.map((null_) =>
      null_.sense === first.sense ? Math.abs(null_.scaleCm - first.scaleCm) : Infinity,
    ),
  );
  return first.uPositionCm * Math.sqrt(1 - Math.exp(-((furthest / correlationCm) ** 2)));
}

/** How many cm a length moves when the drift of the driver current since a time is off by its standard uncertainty. */
export const driftCm = (null_: ResolvedNull, sinceS: number): number =>
  (null_.lengthCm ?? 0) * (null_.by === 'eye' ? 0 : (null_.current?.uDriftPerS ?? 0)) * (null_.tS - sinceS);

/** A length as it would be at another driver current: lengths go as one over the current. */
const broughtTo = (null_: ResolvedNull, current: SetCurrent | null): number => {
  const length = null_.lengthCm as number;
  if (current === null || null_.current === null || null_.by === 'eye') return length;
  return (length * null_.current.mA) / current.mA;
};

/**
 * Combines nulls of one set and cell, all with a known length, into one. Each is weighted by its own variance;
 * lag and zero are common to them and stay; scatter beyond their own uncertainties widens the result.
 */
export function combine(nulls: ResolvedNull[], current: SetCurrent | null, correlationCm: number): Combined {
  const sensed = nulls.filter((null_) => null_.by !== 'eye');
  const read = nulls.filter((null_) => null_.by === 'eye');
  if (sensed.length > 0 && read.length > 0) {
    return together(combine(sensed, current, correlationCm), combine(read, null, correlationCm));
  }
  const weights = nulls.map((null_) => 1 / Math.max(null_.ownVarianceCm2, 1e-8));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (of: (null_: ResolvedNull) => number): number =>
    nulls.reduce((sum, null_, index) => sum + (weights[index] / total) * of(null_), 0);
  const lengthCm = mean((null_) => broughtTo(null_, current));
  const scatter = scatterOf(nulls, weights, lengthCm, current, correlationCm);
  const statistical = (scatter === null ? 1 : scatter.ratio) / total;
  const first = nulls[0];
  const length: BalancingLength = {
    lengthCm,
    uOwnCm: Math.sqrt(statistical),
    ownDof: scatter === null ? pooledDof(nulls, weights) : scatter.dof,
    common: { ...commonEffects(nulls, mean), ...driftEffect(current, mean) },
    sensorScaleCm: first.by === 'eye' ? null : mean((null_) => null_.scaleCm),
    ...placesOf(nulls, weights, total),
    scaleSense: first.sense,
    row: first.labels.row,
  };
  return finish(length, nulls, first.uPositionCm, scatter);
}

/** Each null's own place: those of a drifting driver lie apart, and the sensor errs otherwise at each. */
const placesOf = (
  nulls: ResolvedNull[],
  weights: number[],
  total: number,
): Pick<BalancingLength, 'places'> =>
  nulls[0].by === 'eye' || nulls.length === 1
    ? {}
    : {
        places: nulls.map((null_, index) => ({
          share: weights[index] / total,
          sensorScaleCm: null_.scaleCm,
          scaleSense: null_.sense,
        })),
      };

/** Lag and zero of each bench of the run are effects of their own. */
function commonEffects(
  nulls: ResolvedNull[],
  mean: (of: (null_: ResolvedNull) => number) => number,
): Record<string, number> {
  const common: Record<string, number> = {};
  for (const benchIndex of new Set(nulls.map((null_) => null_.benchIndex))) {
    if (benchIndex < 0) continue;
    const suffix = benchIndex === 0 ? '' : `_${benchIndex + 1}`;
    const ofBench = (pick: (null_: ResolvedNull) => number) =>
      mean((null_) => (null_.benchIndex === benchIndex ? pick(null_) : 0));
    common[`lag${suffix}`] = ofBench((null_) => null_.lagCm);
    common[`zero${suffix}`] = ofBench((null_) => null_.zeroCm);
  }
  return common;
}

/** The drift is common to the lengths of a set: taken in the order 1-2-2-1 it drops out. */
const driftEffect = (
  current: SetCurrent | null,
  mean: (of: (null_: ResolvedNull) => number) => number,
): Record<string, number> =>
  current === null ? {} : { [`drift_${current.set}`]: mean((null_) => driftCm(null_, current.atS)) };

function finish(
  length: BalancingLength,
  nulls: ResolvedNull[],
  uPositionCm: number,
  scatter: Combined['scatter'],
): Combined {
  const uReadCm = Math.hypot(length.uOwnCm, ...Object.values(length.common));
  return { length, nulls, uPositionCm, uReadCm, uCm: Math.hypot(uReadCm, uPositionCm), scatter };
}

/**
 * Lengths from the sensor and lengths read by eye share nothing: each enters with its whole uncertainty, and
 * the sensor's calibration error becomes a part of what is this length's own.
 */
function together(sensed: Combined, read: Combined): Combined {
  const weight = 1 / sensed.uCm ** 2 / (1 / sensed.uCm ** 2 + 1 / read.uCm ** 2);
  const length: BalancingLength = {
    ...sensed.length,
    lengthCm: weight * sensed.length.lengthCm + (1 - weight) * read.length.lengthCm,
    uOwnCm: Math.hypot(weight * sensed.length.uOwnCm, weight * sensed.uPositionCm, (1 - weight) * read.uCm),
    common: Object.fromEntries(Object.entries(sensed.length.common).map(([name, cm]) => [name, weight * cm])),
    sensorScaleCm: null,
    places: [],
  };
  return finish(length, [...sensed.nulls, ...read.nulls], 0, sensed.scatter ?? read.scatter);
}

/** Welch-Satterthwaite over the nulls' own variances (GUM G.4.1). */
function pooledDof(nulls: ResolvedNull[], weights: number[]): number {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const fourth = nulls.reduce((sum, null_, index) => sum + (weights[index] / total ** 2) ** 2 / null_.dof, 0);
  return fourth > 0 ? 1 / total ** 2 / fourth : Number.POSITIVE_INFINITY;
}

function scatterOf(
  nulls: ResolvedNull[],
  weights: number[],
  meanCm: number,
  current: SetCurrent | null,
  correlationCm: number,
): Combined['scatter'] {
  const dof = nulls.length - 1;
  if (dof === 0) return null;
  const spread = nulls[0].by === 'eye' ? 0 : placeSpreadCm(nulls, correlationCm);
  let chiSquare = 0;
  let squares = 0;
  nulls.forEach((null_, index) => {
    const off = broughtTo(null_, current) - meanCm;
    const drift = current === null ? 0 : driftCm(null_, current.atS);
    chiSquare += off ** 2 / (1 / weights[index] + drift ** 2 + null_.lagCm ** 2 + spread ** 2);
    squares += off ** 2;
  });
  const ratio = chiSquare / dof;
  if (ratio <= chiSquareLimit(dof)) return null;
  return { ratio, dof, cm: Math.sqrt(squares / dof) };
}

/** 99 % point of chi-square over its degrees of freedom, by Wilson and Hilferty's cube (1931). */
function chiSquareLimit(dof: number): number {
  const part = 2 / (9 * dof);
  return (1 - part + 2.326 * Math.sqrt(part)) ** 3;
}
