import { NormalEquations } from '../detect/estimate/least-squares.ts';
import type { ResolvedNull } from './resolve-nulls.ts';

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
/** What even a perfect bench scatters from pass to pass, in cm: the blade's play (common practice, no source). */
export const PLAY_CM = 0.0003;

/** Mean current and time of some nulls, and how far the ammeter channel leaves their relative drift open, in 1/s. */
export interface MeanCurrent {
  mA: number | null;
  atS: number;
  priorPerS: number;
}

export function currentOf(nulls: readonly ResolvedNull[]): MeanCurrent {
  const mean = (of: (null_: ResolvedNull) => number) =>
    nulls.reduce((sum, null_) => sum + of(null_), 0) / nulls.length;
  const measured = nulls.every((null_) => null_.current !== null);
  return {
    mA: measured ? mean((null_) => null_.current?.mA ?? 0) : null,
    atS: mean((null_) => null_.tS),
    priorPerS: measured ? mean((null_) => null_.current?.uDriftPerS ?? 0) : UNWATCHED,
  };
}

/** Null where nothing tells how a set's nulls lie in time: lengths read by eye whose driver current nobody measured. */
export function setCurrent(nulls: readonly ResolvedNull[], correlationCm: number): SetCurrent | null {
  const placed = nulls.filter((null_) => null_.lengthCm !== null);
  const sensed = placed.filter((null_) => null_.by !== 'eye');
  if (sensed.length === 0) return ofRead(placed);
  const { mA, atS, priorPerS } = currentOf(sensed);
  return { set: sensed[0].set, mA, atS, ...rateOf(sensed, { mA, atS }, priorPerS, correlationCm) };
}

/** Of lengths read by eye alone: each with the current of the time at which it was typed. */
function ofRead(nulls: readonly ResolvedNull[]): SetCurrent | null {
  if (nulls.length === 0 || nulls.some((null_) => null_.current === null)) return null;
  const { mA, atS, priorPerS } = currentOf(nulls);
  return { set: nulls[0].set, mA, atS, ratePerS: 0, uRatePerS: priorPerS };
}

/** Nothing is known of the current at which it was read. */
const unwatched = (null_: ResolvedNull): boolean => null_.by === 'eye' && null_.current === null;

/** A length at the set's mean current, by the ammeter channel alone. */
export const byAmmeter = (null_: ResolvedNull, current: Pick<SetCurrent, 'mA'>): number => {
  const length = null_.lengthCm ?? 0;
  return current.mA === null || null_.current === null ? length : (length * null_.current.mA) / current.mA;
};

/** A length as it would be at the set's mean current and time. */
export const broughtTo = (null_: ResolvedNull, current: SetCurrent | null): number =>
  current === null || unwatched(null_)
    ? (null_.lengthCm ?? 0)
    : byAmmeter(null_, current) * (1 - current.ratePerS * (null_.tS - current.atS));

/** How many cm a length moves when the drift since the set's mean time is off by its standard uncertainty. */
export const driftCm = (null_: ResolvedNull, current: SetCurrent | null): number =>
  current === null || unwatched(null_)
    ? 0
    : (null_.lengthCm ?? 0) * current.uRatePerS * (null_.tS - current.atS);

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
    const repeats = nulls.filter((null_) => placeKey(null_) === place);
    const origin = byAmmeter(repeats[0], current);
    const spread = placeSpreadCm(repeats, correlationCm);
    for (const null_ of repeats) {
      const length = byAmmeter(null_, current);
      const row = new Float64Array(size);
      row[0] = length * (null_.tS - current.atS) * prior;
      row[1 + at] = 1;
      equations.add(row, length - origin, 1 / (scatterVariance(null_) + spread ** 2));
    }
  });
  equations.addPrior(0, 0, 1);
  const solution = equations.solve();
  if (solution === null) return { ratePerS: 0, uRatePerS: prior };
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
    ...nulls.map((null_) =>
      null_.sense === first.sense ? Math.abs(null_.scaleCm - first.scaleCm) : Number.POSITIVE_INFINITY,
    ),
  );
  return first.uPositionCm * Math.sqrt(1 - Math.exp(-((furthest / correlationCm) ** 2)));
}

/** Variance of a null against others of its place, in cm²: its own, and what the lag moves it against its neighbours. */
const scatterVariance = (null_: ResolvedNull): number =>
  null_.ownVarianceCm2 + null_.lagCm ** 2 + PLAY_CM ** 2;
