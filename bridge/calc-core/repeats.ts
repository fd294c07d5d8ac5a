import chiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import type { BalancingLength, BenchKnowledge, SensedPlace } from './balancing-length.ts';
import { placesOf, positionCovariance } from './length-effects.ts';
import { combine, effectiveDof } from './welch-satterthwaite.ts';

/** Repeats of one balancing length, combined into one. */

type Position = BenchKnowledge['position'];

/**
 * Standard uncertainty of each repeat in what differs between them: its own, and what the sensor at other places and
 * unevenly felt common effects add (the largest difference from the first, shared out evenly).
 */
export function differing(repeats: readonly BalancingLength[], position: Position): number[] {
  const apart = Math.max(...repeats.map((one) => difference(one, repeats[0], position))) / Math.SQRT2;
  return repeats.map((one) => Math.hypot(one.uOwnCm, apart));
}

/** Standard uncertainty of the difference of two repeats, their own parts left out. */
function difference(one: BalancingLength, first: BalancingLength, position: Position): number {
  const names = Object.keys({ ...one.common, ...first.common });
  const uneven = names.map((name) => (one.common[name] ?? 0) - (first.common[name] ?? 0));
  const [here, there] = [placesOf(one), placesOf(first)];
  if (position === null || here.length === 0 || there.length === 0) return Math.hypot(...uneven);
  const covariance = (a: readonly SensedPlace[], b: readonly SensedPlace[]) =>
    positionCovariance(a, b, position);
  const sensor = covariance(here, here) + covariance(there, there) - 2 * covariance(here, there);
  return Math.hypot(Math.sqrt(Math.max(0, sensor)), ...uneven);
}

/**
 * Repeats of one length as one: weighted by what differs between them. What they share (calibration at one place, common
 * effects) does not average away. Repeats that scatter more than their uncertainties allow are judged by the scatter.
 */
export function combineRepeats(repeats: readonly BalancingLength[], position: Position): BalancingLength {
  if (repeats.length === 1) return repeats[0];
  const uncertainties = differing(repeats, position);
  const exact = uncertainties.some((u) => u === 0);
  const shares = normalised(uncertainties.map((u) => (exact ? 1 : u ** -2)));
  const first = repeats[shares.indexOf(Math.max(...shares))];
  const mean = (value: (one: BalancingLength) => number) =>
    repeats.reduce((sum, one, index) => sum + shares[index] * value(one), 0);
  const lengthCm = first.lengthCm + mean((one) => one.lengthCm - first.lengthCm);
  const names = new Set(repeats.flatMap((one) => Object.keys(one.common)));
  const own = exact ? scatterOf(repeats, shares, lengthCm) : ownOf(repeats, shares, lengthCm, uncertainties);
  return {
    ...first,
    ...own,
    lengthCm,
    common: Object.fromEntries([...names].map((key) => [key, mean((one) => one.common[key] ?? 0)])),
    places: placesTogether(repeats, shares),
  };
}

function normalised(weights: readonly number[]): number[] {
  const whole = weights.reduce((sum, weight) => sum + weight, 0);
  return weights.map((weight) => weight / whole);
}

const placesTogether = (repeats: readonly BalancingLength[], shares: readonly number[]): SensedPlace[] =>
  repeats.flatMap((one, index) =>
    placesOf(one).map((place) => ({ ...place, share: place.share * shares[index] })),
  );

type Own = Pick<BalancingLength, 'uOwnCm' | 'ownDof'>;

/** From the scatter alone: weighted experimental standard deviation of the mean. */
function scatterOf(repeats: readonly BalancingLength[], shares: readonly number[], lengthCm: number): Own {
  const squares = repeats.map((one, index) => shares[index] * (one.lengthCm - lengthCm) ** 2);
  const ownDof = repeats.length - 1;
  return { uOwnCm: Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / ownDof), ownDof };
}

function ownOf(
  repeats: readonly BalancingLength[],
  shares: readonly number[],
  lengthCm: number,
  uncertainties: readonly number[],
): Own {
  const misses = repeats.map((one, index) => ((one.lengthCm - lengthCm) / uncertainties[index]) ** 2);
  const chiSquare = misses.reduce((sum, miss) => sum + miss, 0);
  if (chiSquare > chiSquareQuantile(0.99, repeats.length - 1)) return scatterOf(repeats, shares, lengthCm);
  const parts = repeats.map((one, index) => ({ contribution: shares[index] * one.uOwnCm, dof: one.ownDof }));
  return { uOwnCm: combine(parts), ownDof: effectiveDof(parts) };
}
