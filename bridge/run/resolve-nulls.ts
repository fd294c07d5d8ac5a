import { correlationCmOf } from '../bench/bench-file.ts';
import { BY_EYE_CM } from '../bench/by-eye.ts';
import { lengthFromA, scaleSense } from '../bench/geometry.ts';
import type { Lag } from '../detect/lag.ts';
import type { CurrentAt } from './driver-fit.ts';
import type { DriverHistory } from './driver-history.ts';
import type { EventLog } from './event-log.ts';
import { scatterCost } from './lag-scatter.ts';
import type { NullWords } from './null-words.ts';
import { assignedIn, wordsOnNulls } from './null-words.ts';
import type { ResolvedNull } from './resolved-null.ts';
import { rootAt } from './resolved-null.ts';
import type { BenchState, FoundByBoard, FoundLength, RunState } from './run-state.ts';
import { setOfTouch, switchesOfNull, type TouchLabels } from './switches.ts';

/** What nulls are resolved by. */
type Known = Pick<RunState, 'log' | 'benches' | 'driver'>;

/**
 * Nulls as found, in the light of everything known by now. Lengths read by eye that were taken back are left out.
 * @param _events on record: the log grows, and what it says with it
 */
export function resolveNulls(
  lengths: readonly FoundLength[],
  benches: readonly BenchState[],
  driver: DriverHistory | null,
  log: EventLog,
  _events: number,
): ResolvedNull[] {
  const known = { log, benches, driver };
  const wordsOn = wordsOnNulls(log);
  const resolveAll = (lags: readonly Lag[]) =>
    withCurrents(
      lengths.map((found, index) => resolveOne(found, index, wordsOn(`n${index + 1}`), lags, known)),
      known,
    );
  const first = resolveAll(benches.map(({ lag }) => lag()));
  const lags = benches.map(({ reader, lag }, benchIndex) => {
    const ofBench = first.filter((nullPoint) => nullPoint.benchIndex === benchIndex);
    return lag(scatterCost(ofBench, correlationCmOf(reader.bench)));
  });
  return resolveAll(lags).filter(({ found }) => found.by !== 'eye' || !log.isUndone(found.event));
}

/** Those of a set are told together: what is unsure of one is unsure of the others. */
function withCurrents(nulls: ResolvedNull[], { log, driver }: Known): ResolvedNull[] {
  if (driver === null) return nulls;
  const partedS = log.standing('set').flatMap(({ entry }) => entry.atS ?? []);
  const currents = new Map<ResolvedNull, CurrentAt>();
  for (const set of new Set(nulls.map((nullPoint) => nullPoint.set))) {
    // What is typed for another set than that of its time was not read at the current of its time.
    const own = nulls.filter((nullPoint) => nullPoint.set === set && nullPoint.atS !== null);
    if (own.length === 0) continue;
    const found = driver.currents(
      own.map(({ tS }) => tS),
      partedS,
    );
    found?.forEach((current, index) => {
      currents.set(own[index], current);
    });
  }
  return nulls.map((nullPoint) => ({ ...nullPoint, current: currents.get(nullPoint) ?? null }));
}

function resolveOne(
  found: FoundLength,
  index: number,
  { assigned: laterSaid, rejected }: NullWords,
  lags: readonly Lag[],
  known: Known,
): ResolvedNull {
  const { log, driver } = known;
  const touch = found.by === 'eye' ? found.labels : found.found.context.labels;
  const typed = found.by === 'eye' ? typedLength(found.event, known) : null;
  const assigned = typed === null ? laterSaid : { ...assignedIn(typed), ...laterSaid };
  const labels = switchesOfNull(touch, assigned, log);
  const tS = found.by === 'eye' ? found.tS : found.found.fit.tS;
  const place = found.by === 'eye' ? eyePlace(typed) : sensorPlace(found, lags[found.benchIndex], known);
  const setThen = setOfTouch(touch, tS, log, driver);
  const set = assigned.set ?? setThen;
  const { wire, position } = touch.bench.bench;
  return {
    id: `n${index + 1}`,
    by: found.by === 'eye' ? 'eye' : found.found.fit.by,
    benchIndex: found.by === 'eye' ? -1 : found.benchIndex,
    touch,
    labels,
    set,
    tS,
    atS: found.by === 'board' ? tS : set === setThen ? log.entries[found.event - 1].atS : null,
    ...place,
    ...alongWire(wire, labels.row, place),
    uPositionCm: found.by === 'eye' ? 0 : (position?.standardUncertaintyCm ?? 0),
    current: null,
    rejected,
    found,
  };
}

type Place = Pick<
  ResolvedNull,
  'scaleCm' | 'ownVarianceCm2' | 'dof' | 'lagCm' | 'zeroCm' | 'slope' | 'shiftCm'
>;

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

function typedLength(number: number, { log }: Known) {
  const { event } = log.entries[number - 1];
  return event?.kind === 'length' ? event : null;
}

function eyePlace(typed: ReturnType<typeof typedLength>): Place {
  const u = typed?.uCm ?? BY_EYE_CM;
  return {
    scaleCm: typed?.scaleCm ?? 0,
    ownVarianceCm2: u * u,
    dof: Number.POSITIVE_INFINITY,
    lagCm: 0,
    zeroCm: 0,
    slope: null,
    shiftCm: 0,
  };
}

function sensorPlace({ found, benchIndex }: FoundByBoard, lag: Lag, { benches }: Known): Place {
  const { fit, zeroCounts } = found;
  const history = benches[benchIndex].zero;
  const zero = history.at(fit.tS);
  const zeroShift = (zero.counts - zeroCounts) / fit.slope;
  const root = rootAt(fit, lag.lagS * 1000);
  const scaleCm = root + zeroShift;
  return {
    scaleCm,
    ownVarianceCm2: fit.varianceCm2 + history.slowVariance / fit.slope ** 2,
    dof: fit.dof,
    lagCm: (rootAt(fit, lag.lagS * 1000 + 0.5) - rootAt(fit, lag.lagS * 1000 - 0.5)) * lag.uS * 1000,
    zeroCm: zero.uCounts / fit.slope,
    slope: fit.slope,
    shiftCm: scaleCm - fit.rootCm,
  };
}
