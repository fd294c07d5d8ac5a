import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import type { BalancingLength, BenchKnowledge } from './balancing-length.ts';
import { weightedLine } from './line-fit.ts';
import { combineRepeats, differing } from './repeats.ts';

/** Nulls of one set, taken one after the other while the driver current drifts, brought to one current: lengths go as 1/I. */

export interface TimedNull {
  /** What was measured, such as `cell 1` or `open`: nulls of one group are repeats of one length. */
  group: string;
  length: BalancingLength;
  /** Board time in seconds. */
  tS: number;
  /** Driver current at the null; null where nothing measures it. */
  driverMa: number | null;
  /** Standard uncertainty of `driverMa` from noise and quantising: what differs from null to null. */
  uDriverMa: number;
}

export interface Drift {
  /** Relative change of the driver current per second, and its standard uncertainty. */
  perS: number;
  uPerS: number;
  from: 'driver channel' | 'repeats' | 'driver channel and repeats';
}

export interface SetLengths {
  /** Mean driver current of the set's nulls, which the lengths were brought to; null where nothing measures it. */
  driverMa: number | null;
  lengths: ReadonlyMap<string, BalancingLength>;
  /** Null where nothing tells it: the lengths then stand as they were found. */
  drift: Drift | null;
}

type Position = BenchKnowledge['position'];

/**
 * `name` tells this set's drift from that of the others, such as `drift_2`; `position` is what is known of the sensor,
 * for as the current drifts the null wanders to places where the sensor errs differently.
 */
export function toOneCurrent(nulls: readonly TimedNull[], position: Position, name: string): SetLengths {
  const start = nulls.length === 0 ? 0 : nulls.reduce((sum, one) => sum + one.tS, 0) / nulls.length;
  const timed = nulls.map((one) => ({ ...one, tS: one.tS - start }));
  const currents = timed.map((one) => one.driverMa).filter((current) => current !== null);
  const measured = currents.length === timed.length && currents.length > 0;
  const driverMa = measured ? currents.reduce((sum, one) => sum + one, 0) / currents.length : null;
  const drift = bestDrift(timed, driverMa, position);
  const groups = new Map<string, BalancingLength[]>();
  for (const one of timed) {
    groups.set(one.group, [...(groups.get(one.group) ?? []), corrected(one, driverMa, drift, name)]);
  }
  const lengths = new Map([...groups].map(([group, repeats]) => [group, combineRepeats(repeats, position)]));
  return { driverMa, lengths, drift: drift === 'jumpy' ? null : drift };
}

/** A steady drift, 'jumpy' where the driver channel shows that it was not steady, null where nothing tells. */
function bestDrift(
  nulls: readonly TimedNull[],
  driverMa: number | null,
  position: Position,
): Drift | 'jumpy' | null {
  const channel = driverMa === null ? null : channelDrift(nulls, driverMa);
  if (channel === 'jumpy') return channel;
  const repeats = repeatsDrift(nulls, position);
  if (channel === null || repeats === null) return channel ?? repeats;
  const [a, b] = [channel.uPerS ** -2, repeats.uPerS ** -2];
  const perS = (channel.perS * a + repeats.perS * b) / (a + b);
  return { perS, uPerS: (a + b) ** -0.5, from: 'driver channel and repeats' };
}

function channelDrift(nulls: readonly TimedNull[], driverMa: number): Drift | 'jumpy' | null {
  const line = weightedLine(
    nulls.map((one) => one.tS),
    nulls.map((one) => (one.driverMa ?? driverMa) / driverMa),
    nulls.map((one) => one.uDriverMa / driverMa),
  );
  // no noise stated: each reading is taken at its word
  if (line === null) return nulls.every((one) => one.uDriverMa > 0) ? null : 'jumpy';
  if (line.dof > 0 && line.chiSquare > chiSquareQuantile(0.99, line.dof)) return 'jumpy';
  return { perS: line.slope, uPerS: line.uSlope, from: 'driver channel' };
}

/** From repeats alone: 1/l goes as the current, so a line through 1/l of each group tells the drift. */
function repeatsDrift(nulls: readonly TimedNull[], position: Position): Drift | null {
  let information = 0;
  let pull = 0;
  for (const group of new Set(nulls.map((one) => one.group))) {
    const repeats = nulls.filter((one) => one.group === group);
    const lengths = repeats.map((one) => one.length);
    const line = weightedLine(
      repeats.map((one) => one.tS),
      lengths.map((length) => lengths[0].lengthCm / length.lengthCm),
      differing(lengths, position).map((u) => u / lengths[0].lengthCm),
    );
    if (line === null) continue;
    information += line.uSlope ** -2;
    pull += (line.slope / line.intercept) * line.uSlope ** -2;
  }
  if (information === 0) return null;
  return { perS: pull / information, uPerS: information ** -0.5, from: 'repeats' };
}

function corrected(
  one: TimedNull,
  driverMa: number | null,
  drift: Drift | 'jumpy' | null,
  name: string,
): BalancingLength {
  const { length } = one;
  if (drift === null) return length;
  if (drift === 'jumpy') return byReading(one, driverMa);
  const effect = length.lengthCm * one.tS * drift.uPerS;
  return {
    ...length,
    lengthCm: length.lengthCm * (1 + drift.perS * one.tS),
    common: { ...length.common, [name]: effect },
  };
}

/** An unsteady current: each length by its own reading, whose noise then is the length's own. */
function byReading({ length, driverMa, uDriverMa }: TimedNull, meanMa: number | null): BalancingLength {
  if (driverMa === null || meanMa === null) return length;
  const uCurrentCm = (length.lengthCm * uDriverMa) / meanMa;
  return {
    ...length,
    lengthCm: (length.lengthCm * driverMa) / meanMa,
    uOwnCm: Math.hypot(length.uOwnCm, uCurrentCm),
  };
}
