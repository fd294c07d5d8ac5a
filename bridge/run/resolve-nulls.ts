import { correlationCmOf } from '../bench/bench-file.ts';
import { BY_EYE_CM } from '../bench/by-eye.ts';
import { lengthFromA, scaleSense } from '../bench/geometry.ts';
import type { Lag } from '../detect/lag.ts';
import type { CurrentAt } from './driver-fit.ts';
import type { DriverHistory } from './driver-history.ts';
import type { EventLog } from './event-log.ts';
import type { RunEventOf } from './events.ts';
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
  const unplaced = lengths.map((found, index) => resolveOne(found, `n${index + 1}`, wordsOn, known));
  const currents = currentsOf(
    unplaced.map(({ nullPoint }) => nullPoint),
    known,
  );
  const placeAll = (lags: readonly Lag[]) =>
    unplaced.map((one) => placed(one, lags[one.nullPoint.benchIndex], currents.get(one.nullPoint) ?? null));
  const byPasses = placeAll(benches.map(({ lag }) => lag()));
  // What the scatter of the nulls says of the lag needs places, which need a lag.
  const lags = benches.map(({ reader, lag }, benchIndex) => {
    const ofBench = byPasses.filter((nullPoint) => nullPoint.benchIndex === benchIndex);
    return lag(scatterCost(ofBench, correlationCmOf(reader.bench)));
  });
  return placeAll(lags).filter(({ found }) => found.by !== 'eye' || !log.isUndone(found.event));
}

/** Where a null lies on the scale, which the lag has a say in, and along the wire. */
type OnScale = Pick<ResolvedNull, 'scaleCm' | 'ownVarianceCm2' | 'dof' | 'lagCm' | 'zeroCm' | 'slope'>;
type AlongWire = Pick<ResolvedNull, 'lengthCm' | 'sense' | 'lagCm' | 'zeroCm'>;

/** A null of which the lag and the other nulls have yet to say where it lies. */
interface Unplaced {
  nullPoint: ResolvedNull;
  onScale: (lag: Lag) => OnScale;
}

/** Those of a set are told together: what is unsure of one is unsure of the others. */
function currentsOf<Timed extends Pick<ResolvedNull, 'set' | 'tS' | 'atS'>>(
  nulls: readonly Timed[],
  { log, driver }: Known,
): Map<Timed, CurrentAt> {
  const currents = new Map<Timed, CurrentAt>();
  if (driver === null) return currents;
  const partedS = log.standing('set').flatMap(({ entry }) => entry.atS ?? []);
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
  return currents;
}

function resolveOne(
  found: FoundLength,
  id: string,
  wordsOn: (id: string) => NullWords,
  known: Known,
): Unplaced {
  const { log, driver } = known;
  const typed = found.by === 'eye' ? typedLength(found.event, log) : null;
  const touch = found.by === 'eye' ? found.labels : found.found.context.labels;
  const { assigned: laterSaid, rejected } = wordsOn(id);
  const assigned = typed === null ? laterSaid : { ...assignedIn(typed), ...laterSaid };
  const tS = found.by === 'eye' ? found.tS : found.found.fit.tS;
  const setThen = setOfTouch(touch, tS, log, driver);
  const set = assigned.set ?? setThen;
  const nullPoint: ResolvedNull = {
    id,
    by: found.by === 'eye' ? 'eye' : found.found.fit.by,
    benchIndex: found.by === 'eye' ? -1 : found.benchIndex,
    touch,
    labels: switchesOfNull(touch, assigned, log),
    set,
    tS,
    atS: found.by === 'board' ? tS : set === setThen ? log.entries[found.event - 1].atS : null,
    uPositionCm: found.by === 'eye' ? 0 : (touch.bench.bench.position?.standardUncertaintyCm ?? 0),
    rejected,
    found,
    ...NOT_PLACED,
  };
  const onScale = found.by === 'eye' ? () => readOnScale(typed) : sensedOnScale(found, known.benches);
  return { nullPoint, onScale };
}

const NOT_PLACED = {
  scaleCm: 0,
  ownVarianceCm2: 0,
  dof: 0,
  lagCm: 0,
  zeroCm: 0,
  slope: null,
  lengthCm: null,
  sense: 1,
  current: null,
} as const;

function placed({ nullPoint, onScale }: Unplaced, lag: Lag, current: CurrentAt | null): ResolvedNull {
  const { touch, labels } = nullPoint;
  const place = onScale(lag);
  // Runs have hundreds of nulls, and a copy that is only filled in costs a tenth of one put together from several.
  const copy = { ...nullPoint, current };
  return Object.assign(copy, place, alongWire(touch, labels.row, place));
}

/** Effects along the scale become effects along the wire: the sign turns on rows that run the other way. */
function alongWire({ bench }: TouchLabels, row: number | null, place: OnScale): AlongWire {
  const { scaleCm, lagCm, zeroCm } = place;
  if (row === null) return { lengthCm: null, sense: 1, lagCm, zeroCm };
  const { wire } = bench.bench;
  const sense = scaleSense(wire, row);
  return {
    lengthCm: lengthFromA(wire, row, scaleCm),
    sense,
    lagCm: sense * lagCm,
    zeroCm: sense * zeroCm,
  };
}

function typedLength(number: number, log: EventLog): RunEventOf<'length'> | null {
  const { event } = log.entries[number - 1];
  return event?.kind === 'length' ? event : null;
}

function readOnScale(typed: RunEventOf<'length'> | null): OnScale {
  const u = typed?.uCm ?? BY_EYE_CM;
  return {
    scaleCm: typed?.scaleCm ?? 0,
    ownVarianceCm2: u * u,
    dof: Number.POSITIVE_INFINITY,
    lagCm: 0,
    zeroCm: 0,
    slope: null,
  };
}

function sensedOnScale(
  { found, benchIndex }: FoundByBoard,
  benches: readonly BenchState[],
): (lag: Lag) => OnScale {
  const { fit, zeroCounts } = found;
  const history = benches[benchIndex].zero;
  const zero = history.at(fit.tS);
  const zeroShift = (zero.counts - zeroCounts) / fit.slope;
  const zeroCm = zero.uCounts / fit.slope;
  const ownVarianceCm2 = fit.varianceCm2 + history.slowVariance / fit.slope ** 2;
  return ({ lagS, uS }) => ({
    scaleCm: rootAt(fit, lagS * 1000) + zeroShift,
    ownVarianceCm2,
    dof: fit.dof,
    lagCm: (rootAt(fit, lagS * 1000 + 0.5) - rootAt(fit, lagS * 1000 - 0.5)) * uS * 1000,
    zeroCm,
    slope: fit.slope,
  });
}
