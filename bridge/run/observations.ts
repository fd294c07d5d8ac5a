import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import { ORDINARY } from '../calc-core/assumed-sizes.ts';
import type { BalancingLength } from '../calc-core/balancing-length.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { Procedure } from './procedure.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { SetCurrent } from './set-current.ts';
import { broughtTo, driftCm, ownVarianceCm2, placeSpreadCm } from './set-current.ts';

/** Nulls of one place into one balancing length, and lengths into sets. */

export interface Combined {
  length: BalancingLength;
  nulls: ResolvedNull[];
  /** Length of each null in cm, brought to the set's driver current. */
  broughtCm: number[];
  /** Position calibration error at its place, in cm. */
  uPositionCm: number;
  uReadCm: number;
  uCm: number;
  /** Null where the nulls lie no further apart than chance allows. */
  scatter: Scatter | null;
}

export interface Scatter {
  /** Chi-square of the nulls about their mean over its degrees of freedom. */
  ratio: number;
  dof: number;
  /** Standard deviation of the nulls in cm. */
  cm: number;
  /** How many nulls scatter so. */
  nulls: number;
}

/**
 * Why a null does not count; null where it does.
 * @param measured the cell whose internal resistance is measured, null in a comparison of EMFs
 */
export function whyNotUsed(
  nullPoint: ResolvedNull,
  procedure: Procedure,
  measured: number | null,
): Message | null {
  const { cell, row, protect, load } = nullPoint.labels;
  if (nullPoint.rejected !== null) return rejectedFor(nullPoint.rejected);
  if (protect) return message('null-protected');
  if (row === null) return message('null-row-unknown');
  const offWire = offTheWire(nullPoint, row);
  if (offWire !== null) return offWire;
  if (procedure === 'internal-resistance') {
    const other = cell !== null && measured !== null && cell !== measured;
    return other ? message('null-other-cell', { cell: measured }) : null;
  }
  if (cell === null) return message('null-cell-unknown');
  return load ? message('null-loaded') : null;
}

/** How far the carriage goes beyond the marks of the scale (common practice, no source). */
const BEYOND_MARKS_CM = 0.5;

function offTheWire({ touch, scaleCm }: ResolvedNull, row: number): Message | null {
  const { rows, rowLengthCm } = touch.bench.bench.wire;
  if (row > rows) return message('null-off-rows', { row, rows });
  const isOn = scaleCm >= -BEYOND_MARKS_CM && scaleCm <= rowLengthCm + BEYOND_MARKS_CM;
  return isOn ? null : message('null-off-scale', { cm: scaleCm.toFixed(1), rowCm: rowLengthCm });
}

const rejectedFor = (reason: string): Message =>
  reason === '' ? message('rejected') : message('rejected-because', { reason });

/**
 * Combines nulls of one set and cell, all with a known length, into one. Each is weighted by its own variance;
 * lag and zero are common to them and stay; scatter beyond their own uncertainties widens the result.
 */
export function combine(nulls: ResolvedNull[], current: SetCurrent | null, correlationCm: number): Combined {
  const sensed = nulls.filter((nullPoint) => nullPoint.by !== 'eye');
  const read = nulls.filter((nullPoint) => nullPoint.by === 'eye');
  if (sensed.length > 0 && read.length > 0) {
    return together(combine(sensed, current, correlationCm), combine(read, current, correlationCm));
  }
  const weights = nulls.map((nullPoint) => 1 / Math.max(ownVarianceCm2(nullPoint), 1e-8));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (of: (nullPoint: ResolvedNull) => number): number =>
    nulls.reduce((sum, nullPoint, index) => sum + (weights[index] / total) * of(nullPoint), 0);
  const broughtCm = nulls.map((nullPoint) => broughtTo(nullPoint, current));
  const lengthCm = weights.reduce((sum, weight, index) => sum + (weight / total) * broughtCm[index], 0);
  const scatter = scatterOf(nulls, weights, lengthCm, current, correlationCm);
  const statistical = (scatter === null ? 1 : scatter.ratio) / total;
  const first = nulls[0];
  const length: BalancingLength = {
    lengthCm,
    uOwnCm: Math.sqrt(statistical),
    ownDof: scatter === null ? pooledDof(nulls, weights) : scatter.dof,
    common: { ...commonEffects(nulls, mean), ...driftEffect(current, mean) },
    sensorScaleCm: first.by === 'eye' ? null : mean((nullPoint) => nullPoint.scaleCm),
    ...placesOf(nulls, weights, total),
    scaleSense: first.sense,
    row: first.labels.row,
    atS: nulls.every(({ atS }) => atS !== null) ? mean(({ atS }) => atS ?? 0) : null,
  };
  return { ...finish(length, nulls, first.uPositionCm, scatter), broughtCm };
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
        places: nulls.map((nullPoint, index) => ({
          share: weights[index] / total,
          sensorScaleCm: nullPoint.scaleCm,
          scaleSense: nullPoint.sense,
        })),
      };

/** Lag and zero of each bench of the run are effects of their own. */
function commonEffects(
  nulls: ResolvedNull[],
  mean: (of: (nullPoint: ResolvedNull) => number) => number,
): Record<string, number> {
  const common: Record<string, number> = {};
  for (const benchIndex of new Set(nulls.map((nullPoint) => nullPoint.benchIndex))) {
    if (benchIndex < 0) continue;
    const suffix = benchIndex === 0 ? '' : `_${benchIndex + 1}`;
    const ofBench = (pick: (nullPoint: ResolvedNull) => number) =>
      mean((nullPoint) => (nullPoint.benchIndex === benchIndex ? pick(nullPoint) : 0));
    common[`lag${suffix}`] = ofBench((nullPoint) => nullPoint.lagCm);
    common[`zero${suffix}`] = ofBench((nullPoint) => nullPoint.zeroCm);
  }
  return common;
}

/** The drift is common to the lengths of a set: taken in the order 1-2-2-1 it drops out. */
const driftEffect = (
  current: SetCurrent | null,
  mean: (of: (nullPoint: ResolvedNull) => number) => number,
): Record<string, number> =>
  current === null ? {} : { [`drift_${current.set}`]: mean((nullPoint) => driftCm(nullPoint, current)) };

function finish(
  length: BalancingLength,
  nulls: ResolvedNull[],
  uPositionCm: number,
  scatter: Scatter | null,
): Omit<Combined, 'broughtCm'> {
  const uReadCm = Math.hypot(length.uOwnCm, ...Object.values(length.common));
  return { length, nulls, uPositionCm, uReadCm, uCm: Math.hypot(uReadCm, uPositionCm), scatter };
}

/**
 * Lengths from the sensor and lengths read by eye share nothing: each enters with its whole uncertainty, and
 * the sensor's calibration error becomes a part of what is this length's own. Where they contradict each other, that is widened.
 */
function together(sensed: Combined, read: Combined): Combined {
  const apart = scatterBetween(sensed, read);
  const widening = Math.sqrt(apart?.ratio ?? 1);
  const weight = 1 / sensed.uCm ** 2 / (1 / sensed.uCm ** 2 + 1 / read.uCm ** 2);
  const length: BalancingLength = {
    ...sensed.length,
    lengthCm: weight * sensed.length.lengthCm + (1 - weight) * read.length.lengthCm,
    uOwnCm:
      widening *
      Math.hypot(weight * sensed.length.uOwnCm, weight * sensed.uPositionCm, (1 - weight) * read.uCm),
    ownDof: apart?.dof ?? sensed.length.ownDof,
    common: Object.fromEntries(Object.entries(sensed.length.common).map(([name, cm]) => [name, weight * cm])),
    sensorScaleCm: null,
    places: [],
  };
  const worst = [sensed.scatter, read.scatter, apart].reduce((most, scatter) =>
    (scatter?.ratio ?? 0) > (most?.ratio ?? 0) ? scatter : most,
  );
  return {
    ...finish(length, [...sensed.nulls, ...read.nulls], 0, worst),
    broughtCm: [...sensed.broughtCm, ...read.broughtCm],
  };
}

function scatterBetween(sensed: Combined, read: Combined): Scatter | null {
  const off = sensed.length.lengthCm - read.length.lengthCm;
  const ratio = off ** 2 / (sensed.uCm ** 2 + read.uCm ** 2);
  if (ratio <= chiSquareLimit(1)) return null;
  return { ratio, dof: 1, cm: Math.abs(off) / Math.SQRT2, nulls: sensed.nulls.length + read.nulls.length };
}

/** Welch-Satterthwaite over the nulls' own variances (GUM G.4.1). */
function pooledDof(nulls: ResolvedNull[], weights: number[]): number {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const fourth = nulls.reduce(
    (sum, nullPoint, index) => sum + (weights[index] / total ** 2) ** 2 / nullPoint.dof,
    0,
  );
  return fourth > 0 ? 1 / total ** 2 / fourth : Number.POSITIVE_INFINITY;
}

function scatterOf(
  nulls: ResolvedNull[],
  weights: number[],
  meanCm: number,
  current: SetCurrent | null,
  correlationCm: number,
): Scatter | null {
  const dof = nulls.length - 1;
  if (dof === 0) return null;
  const spread = nulls[0].by === 'eye' ? 0 : placeSpreadCm(nulls, correlationCm);
  const middleS = nulls.reduce((sum, { tS }) => sum + tS, 0) / nulls.length;
  let chiSquare = 0;
  let squares = 0;
  nulls.forEach((nullPoint, index) => {
    const off = broughtTo(nullPoint, current) - meanCm;
    const moved = Math.hypot(
      driftCm(nullPoint, current),
      nullPoint.lagCm,
      spread,
      cellChangeCm(nullPoint, middleS),
    );
    chiSquare += off ** 2 / (1 / weights[index] + moved ** 2);
    squares += off ** 2;
  });
  const ratio = chiSquare / dof;
  if (ratio <= chiSquareLimit(dof)) return null;
  return { ratio, dof, cm: Math.sqrt(squares / dof), nulls: nulls.length };
}

/** So many times an ordinary change of a cell is still no scatter: taken as 1-2-2-1, it drops out of the mean. */
const CHANGE_ALLOWED = 4;

/** How far a cell that changes moves a null from one at the middle of their times, in cm. */
function cellChangeCm({ labels, touch, tS, lengthCm }: ResolvedNull, middleS: number): number {
  const stated = labels.cell === 1 || labels.cell === 2 ? touch.bench.bench.cells?.[labels.cell] : undefined;
  const perMin = stated?.steadyRelativePerMin ?? CHANGE_ALLOWED * ORDINARY.steadyRelativePerMin;
  return ((lengthCm ?? 0) * perMin * Math.abs(tS - middleS)) / 60;
}

/** 99 % point of chi-square over its degrees of freedom. */
const chiSquareLimit = (dof: number): number => chiSquareQuantile(0.99, dof) / dof;
