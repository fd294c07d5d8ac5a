import { correlationCmOf } from '../bench/bench-file.ts';
import { BY_EYE_CM } from '../bench/by-eye.ts';
import { lengthFromA, scaleSense } from '../bench/geometry.ts';
import type { Lag } from '../detect/lag.ts';
import { atLag } from '../detect/lag.ts';
import type { CurrentAt } from './driver-fit.ts';
import type { FoundLength, RunFold } from './fold.ts';
import { scatterCost } from './lag-scatter.ts';
import { assignments, eyeWords, rejection } from './null-words.ts';
import type { Labels, TouchLabels } from './touch-labels.ts';
import { resolveLabels } from './touch-labels.ts';
import type { By } from './view.ts';

/** Nulls as found, in the light of everything known by now: the words that stand, the zero, the lag, the driver current. */

export interface ResolvedNull {
  id: string;
  by: By;
  /** Which bench of the run it was found on, from 0; lag and zero are shared within one. */
  benchIndex: number;
  touch: TouchLabels;
  labels: Labels;
  set: number;
  tS: number;
  /** Board time at which it was balanced; null where nobody knows. */
  atS: number | null;
  scaleCm: number;
  lengthCm: number | null;
  /** +1 where the length grows with the scale reading. */
  sense: 1 | -1;
  /** Variance in cm² of what is this null's own. */
  ownVarianceCm2: number;
  dof: number;
  /** How many cm the length moves when lag or zero grow by one standard uncertainty. */
  lagCm: number;
  zeroCm: number;
  uPositionCm: number;
  current: CurrentAt | null;
  rejected: string | null;
  /** Counts per cm of scale. */
  slope: number | null;
  /** How far the picture of the fit has to be moved along the scale. */
  shiftCm: number;
  found: FoundLength;
}

export function resolveNulls(fold: RunFold): ResolvedNull[] {
  const first = fold.lengths.map((found, index) => resolveOne(fold, found, `n${index + 1}`, null));
  const lags = fold.detectors.all.map(({ reader, detector }, benchIndex) => {
    const ofBench = first.filter((nullPoint) => nullPoint.benchIndex === benchIndex);
    return detector.lag.estimate(scatterCost(ofBench, correlationCmOf(reader.bench)));
  });
  return fold.lengths
    .map((found, index) => resolveOne(fold, found, `n${index + 1}`, lags))
    .filter((resolved) => resolved.found.by !== 'eye' || !fold.log.isUndone(resolved.found.event));
}

function resolveOne(fold: RunFold, found: FoundLength, id: string, lags: Lag[] | null): ResolvedNull {
  const touch = found.by === 'eye' ? found.labels : found.found.context.labels;
  const words = found.by === 'eye' ? eyeWords(fold.log, found.event) : {};
  const assigned = { ...words, ...assignments(fold.log, id) };
  const sensed = resolveLabels(touch, fold.log);
  const labels = { ...sensed, cell: assigned.cell ?? sensed.cell, row: assigned.row ?? sensed.row };
  const tS = found.by === 'eye' ? found.tS : found.found.fit.tS;
  const place = found.by === 'eye' ? eyePlace(fold, found.event) : sensorPlace(fold, found, lags);
  const setThen = setOfTouch(fold, touch, tS);
  const set = assigned.set ?? setThen;
  // What is typed for another set than that of its time was not read at the current of its time.
  const current = found.by === 'eye' && set !== setThen ? null : (fold.driver?.at(tS) ?? null);
  const { wire, position } = touch.bench.bench;
  return {
    id,
    by: found.by === 'eye' ? 'eye' : found.found.fit.by,
    benchIndex: found.by === 'eye' ? -1 : found.benchIndex,
    touch,
    labels,
    set,
    tS,
    atS: found.by === 'board' ? tS : set === setThen ? fold.log.entries[found.event - 1].atS : null,
    ...place,
    ...alongWire(wire, labels.row, place),
    uPositionCm: found.by === 'eye' ? 0 : (position?.standardUncertaintyCm ?? 0),
    current,
    rejected: rejection(fold.log, id),
    found,
  };
}

interface Place {
  scaleCm: number;
  ownVarianceCm2: number;
  dof: number;
  lagCm: number;
  zeroCm: number;
  slope: number | null;
  shiftCm: number;
}

/** Effects along the scale become effects along the wire: the sign turns on rows that run the other way. */
function alongWire(wire: TouchLabels['bench']['bench']['wire'], row: number | null, place: Place) {
  if (row === null) return { lengthCm: null, sense: 1 as const };
  const sense = scaleSense(wire, row);
  return {
    lengthCm: lengthFromA(wire, row, place.scaleCm),
    sense,
    lagCm: sense * place.lagCm,
    zeroCm: sense * place.zeroCm,
  };
}

function eyePlace(fold: RunFold, number: number): Place {
  const event = fold.log.entries[number - 1].event;
  const length = event?.kind === 'length' ? event : { scaleCm: 0, uCm: undefined };
  const u = length.uCm ?? BY_EYE_CM;
  return {
    scaleCm: length.scaleCm,
    ownVarianceCm2: u * u,
    dof: Number.POSITIVE_INFINITY,
    lagCm: 0,
    zeroCm: 0,
    slope: null,
    shiftCm: 0,
  };
}

function sensorPlace(fold: RunFold, found: Extract<FoundLength, { by: 'board' }>, lags: Lag[] | null): Place {
  const { fit, zeroCounts } = found.found;
  const { detector } = fold.detectors.at(found.benchIndex);
  const zero = detector.zero.at(fit.tS);
  const zeroShift = (zero.counts - zeroCounts) / fit.slope;
  const lag = lags === null ? detector.lag.estimate() : lags[found.benchIndex];
  const root = rootAt(fit, lag.lagS * 1000);
  const scaleCm = root + zeroShift;
  return {
    scaleCm,
    ownVarianceCm2: fit.varianceCm2,
    dof: fit.dof,
    lagCm: (rootAt(fit, lag.lagS * 1000 + 0.5) - rootAt(fit, lag.lagS * 1000 - 0.5)) * lag.uS * 1000,
    zeroCm: zero.uCounts / fit.slope,
    slope: fit.slope,
    shiftCm: scaleCm - fit.rootCm,
  };
}

type Fit = Extract<FoundLength, { by: 'board' }>['found']['fit'];

/** Place on the scale at a lag, in cm. Taps are settled: no lag moves them. */
export const rootAt = (fit: Fit, lagMs: number): number =>
  fit.by === 'taps' ? fit.rootCm : atLag(fit.rootsCm, lagMs);

/** The set a touch belongs to: as said, or by the driver current. */
export function setOfTouch(fold: RunFold, touch: TouchLabels, tS: number): number {
  if (fold.log.standing('set').length > 0) return fold.log.last('set', touch.events)?.set ?? 1;
  return fold.driver?.setAt(tS) ?? 1;
}
