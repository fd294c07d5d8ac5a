import { NormalEquations } from '../detect/estimate/least-squares.ts';
import type { ResolvedNull } from './resolved-null.ts';

/**
 * One driver current for a set. Lengths go as one over the current; what the ammeter channel leaves open of its
 * drift, repeated nulls of one cell tell: those of a set are fitted with a length for each cell and one rate.
 */
export interface SetCurrent {
  set: number;
  /** Mean driver current of the set's nulls; null without a driver channel. */
  mA: number | null;
  /** Mean time of the set's nulls, to which its lengths are brought. */
  atS: number;
  /** Relative growth of lengths in 1/s that repeated nulls show beyond the ammeter's word, and its uncertainty. */
  ratePerS: number;
  uRatePerS: number;
}

/** Relative drift in 1/s that repeats may show where no ammeter channel watches the driver: 1 % a minute. */
const UNWATCHED = 0.01 / 60;
/** The same where nothing watches at all and the operator is trusted to have let the driver settle (common practice, no source). */
const SETTLED = 0.0001 / 60;
/** A drift beyond so many standard deviations of what was known of it is something else. */
const MOST_PRIORS = 4;
/** What even a perfect bench scatters from pass to pass, in cm: the blade's play (common practice, no source). */
export const PLAY_CM = 0.0003;

/** Mean current and time of some nulls, and how far the ammeter channel leaves their relative drift open, in 1/s. */
export interface MeanCurrent {
  mA: number | null;
  atS: number;
  priorPerS: number;
}

export function currentOf(nulls: readonly ResolvedNull[]): MeanCurrent {
  const mean = (of: (nullPoint: ResolvedNull) => number) =>
    nulls.reduce((sum, nullPoint) => sum + of(nullPoint), 0) / nulls.length;
  const measured = nulls.every((nullPoint) => nullPoint.current !== null);
  return {
    mA: measured ? mean((nullPoint) => nullPoint.current?.mA ?? 0) : null,
    atS: mean((nullPoint) => nullPoint.tS),
    priorPerS: measured ? mean((nullPoint) => nullPoint.current?.uDriftPerS ?? 0) : UNWATCHED,
  };
}

/** Null where nothing tells how a set's nulls lie in time: lengths read by eye whose driver current nobody measured. */
export function setCurrent(nulls: readonly ResolvedNull[], correlationCm: number): SetCurrent | null {
  const placed = nulls.filter((nullPoint) => nullPoint.lengthCm !== null);
  const sensed = placed.filter((nullPoint) => nullPoint.by !== 'eye');
  if (sensed.length === 0) return ofRead(placed);
  const { mA, atS, priorPerS } = currentOf(sensed);
  return { set: sensed[0].set, mA, atS, ...rateOf(sensed, { mA, atS }, priorPerS, correlationCm) };
}

/** Of lengths read by eye alone: each with the current of the time at which it was typed. */
function ofRead(nulls: readonly ResolvedNull[]): SetCurrent | null {
  if (nulls.length === 0 || nulls.some((nullPoint) => nullPoint.current === null)) return null;
  const { mA, atS, priorPerS } = currentOf(nulls);
  return { set: nulls[0].set, mA, atS, ratePerS: 0, uRatePerS: priorPerS };
}

/** Nothing is known of the current at which it was read. */
const unwatched = (nullPoint: ResolvedNull): boolean => nullPoint.by === 'eye' && nullPoint.current === null;

/** A length at the set's mean current, by the ammeter channel alone. */
export const byAmmeter = (nullPoint: ResolvedNull, current: Pick<SetCurrent, 'mA'>): number => {
  const length = nullPoint.lengthCm ?? 0;
  return current.mA === null || nullPoint.current === null
    ? length
    : (length * nullPoint.current.mA) / current.mA;
};

/** A length as it would be at the set's mean current and time. */
export const broughtTo = (nullPoint: ResolvedNull, current: SetCurrent | null): number =>
  current === null || unwatched(nullPoint)
    ? (nullPoint.lengthCm ?? 0)
    : byAmmeter(nullPoint, current) * (1 - current.ratePerS * (nullPoint.tS - current.atS));

/** How many cm a length moves when the drift since the set's mean time is off by its standard uncertainty. */
export const driftCm = (nullPoint: ResolvedNull, current: SetCurrent | null): number =>
  current === null || unwatched(nullPoint)
    ? 0
    : (nullPoint.lengthCm ?? 0) * current.uRatePerS * (nullPoint.tS - current.atS);

/** Least squares over a length for each cell and load and one rate, the rate held by what the ammeter leaves open. */
function rateOf(
  nulls: readonly ResolvedNull[],
  current: Pick<SetCurrent, 'mA' | 'atS'>,
  prior: number,
  correlationCm: number,
): Pick<SetCurrent, 'ratePerS' | 'uRatePerS'> {
  const places = [...new Set(nulls.map(placeKey))];
  if (nulls.length === places.length || prior === 0) {
    return { ratePerS: 0, uRatePerS: current.mA === null ? SETTLED : prior };
  }
  const size = places.length + 1;
  const equations = new NormalEquations(size);
  places.forEach((place, at) => {
    const repeats = nulls.filter((nullPoint) => placeKey(nullPoint) === place);
    const origin = byAmmeter(repeats[0], current);
    const spread = placeSpreadCm(repeats, correlationCm);
    for (const nullPoint of repeats) {
      const length = byAmmeter(nullPoint, current);
      const row = new Float64Array(size);
      row[0] = length * (nullPoint.tS - current.atS) * prior;
      row[1 + at] = 1;
      equations.add(row, length - origin, 1 / (scatterVariance(nullPoint) + spread ** 2));
    }
  });
  equations.addPrior(0, 0, 1);
  const solution = equations.solve();
  if (solution === null) return { ratePerS: 0, uRatePerS: prior };
  // Far beyond what the ammeter leaves open it is no drift: a sensor that is late or has play moves places by direction.
  if (Math.abs(solution.coefficients[0]) > MOST_PRIORS) return { ratePerS: 0, uRatePerS: prior };
  const spare = nulls.length - places.length;
  const widening = Math.max(1, solution.residualSquares / spare);
  return {
    ratePerS: solution.coefficients[0] * prior,
    uRatePerS: Math.min(1, Math.sqrt(widening * solution.inverse[0])) * prior,
  };
}

const placeKey = ({ labels }: ResolvedNull): string =>
  [labels.cell, labels.load, labels.load ? labels.loadOhm : null].join();

/**
 * How much the sensor's calibration error differs between nulls of one length, in cm for each: nothing at one place, more as
 * a drifting driver moves the null along the scale or into the next row.
 */
export function placeSpreadCm(nulls: readonly ResolvedNull[], correlationCm: number): number {
  const [first] = nulls;
  const furthest = Math.max(
    ...nulls.map((nullPoint) =>
      nullPoint.sense === first.sense
        ? Math.abs(nullPoint.scaleCm - first.scaleCm)
        : Number.POSITIVE_INFINITY,
    ),
  );
  return first.uPositionCm * Math.sqrt(1 - Math.exp(-((furthest / correlationCm) ** 2)));
}

/** Variance in cm² of what is a null's own once it has been brought to another current. */
export const ownVarianceCm2 = ({ ownVarianceCm2: own, lengthCm, current }: ResolvedNull): number =>
  own + ((lengthCm ?? 0) * (current?.uAlone ?? 0)) ** 2;

/** Variance of a null against others of its place, in cm²: its own, and what the lag moves it against its neighbours. */
const scatterVariance = (nullPoint: ResolvedNull): number =>
  ownVarianceCm2(nullPoint) + nullPoint.lagCm ** 2 + PLAY_CM ** 2;
