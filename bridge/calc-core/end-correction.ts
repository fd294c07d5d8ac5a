import { type FullKnowledge, fillGaps } from './assumed-sizes.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { namedLengths } from './comparison-model.ts';
import { lengthEffects } from './length-effects.ts';
import { scaledEffects, sizeScenarios } from './scaled-effects.ts';

/** The end correction from two voltages whose ratio is known. */

export interface KnownRatio {
  /** Larger voltage over the smaller one. */
  value: number;
  /** Standard uncertainty. */
  u: number;
}

export interface MeasuredEnd {
  valueCm: number;
  standardUncertaintyCm: number;
  sets: { set: number; alphaCm: number }[];
  /** Standard uncertainties in cm that make up the whole, largest first. */
  parts: { what: string; uCm: number }[];
}

/** So near to 1 the lengths say nothing. */
const LEAST_RATIO = 1.2;

export type EndMeasurement = { ok: true; end: MeasuredEnd } | { ok: false; text: string };

/**
 * Balance of two voltages U1 = n·U2: l1 + α = n·(l2 + α), so α = (l1 − n·l2)/(n − 1). The mean over the sets; its uncertainty by
 * GUM 5.1.2 over the effects on the lengths, correlated as they are, and over n. Both lengths lie in row 1, so that rows and strips
 * fall out.
 *
 * @param sets l1 of the larger voltage, l2 of the smaller one, in cm
 */
export function measuredEndCorrection(
  sets: readonly ComparisonSet[],
  ratio: KnownRatio,
  bench: BenchKnowledge,
): EndMeasurement {
  const why = whyNot(sets, ratio);
  if (why !== null) return { ok: false, text: why };
  const known = fillGaps(bench);
  const n = ratio.value;
  const alphas = sets.map(({ set, l1, l2 }) => ({ set, alphaCm: (l1.lengthCm - n * l2.lengthCm) / (n - 1) }));
  const valueCm = alphas.reduce((sum, { alphaCm }) => sum + alphaCm, 0) / sets.length;
  const ofRatio = { what: 'ratio of the voltages', uCm: byRatio(sets, valueCm, ratio) };
  const parts = [...lengthParts(sets, n, known), ofRatio]
    .filter(({ uCm }) => uCm > 0)
    .sort((a, b) => b.uCm - a.uCm);
  return {
    ok: true,
    end: { valueCm, standardUncertaintyCm: Math.hypot(...parts.map(({ uCm }) => uCm)), sets: alphas, parts },
  };
}

function whyNot(sets: readonly ComparisonSet[], { value, u }: KnownRatio): string | null {
  if (!(value >= LEAST_RATIO && Number.isFinite(value)))
    return `the ratio of the voltages must be ${LEAST_RATIO} or more, the larger one over the smaller one, the larger one as cell 1`;
  if (!(u >= 0 && u < value - 1))
    return 'the standard uncertainty of the ratio must be nought or more, and small';
  if (sets.length === 0) return 'no set has a balancing length of both voltages';
  if (sets.some(({ l1, l2 }) => l1.row !== 1 || l2.row !== 1))
    return 'both voltages must balance in row 1: in other rows the rows themselves come in';
  const exchanged = sets.find(({ l1, l2 }) => l1.lengthCm <= l2.lengthCm);
  return exchanged === undefined
    ? null
    : `set ${exchanged.set}: the larger voltage, as cell 1, must have the greater length`;
}

/** dα/dn of the mean: −(l2 + α)/(n − 1), times u(n). */
function byRatio(sets: readonly ComparisonSet[], alphaCm: number, { value: n, u }: KnownRatio): number {
  const l2Cm = sets.reduce((sum, { l2 }) => sum + l2.lengthCm, 0) / sets.length;
  return (Math.abs(l2Cm + alphaCm) / (n - 1)) * u;
}

function lengthParts(sets: readonly ComparisonSet[], n: number, bench: FullKnowledge) {
  const lengths = sets.flatMap(namedLengths);
  const size = lengths.length;
  const weights = lengths.map(({ cell }) => (cell === 1 ? 1 : -n) / (n - 1) / sets.length);
  const moved = (column: readonly number[]) =>
    column.reduce((sum, step, index) => sum + weights[index] * step, 0);
  const byEffect = lengthEffects(lengths, bench, size).map(({ symbol, columns }) => ({
    what: NAMES[symbol] ?? 'readings',
    variance: columns.reduce((sum, column) => sum + moved(column) ** 2, 0),
  }));
  const sizes = likelySizes(bench);
  const byScaled = scaledEffects(lengths, bench).map(({ name, covariance }, which) => ({
    what: NAMES[name],
    variance:
      sizes[which] ** 2 *
      lengths.reduce((sum, _, a) => sum + weights[a] * moved(lengths.map((_, b) => covariance(a, b))), 0),
  }));
  const sums = new Map<string, number>();
  for (const { what, variance } of [...byEffect, ...byScaled])
    sums.set(what, (sums.get(what) ?? 0) + Math.max(0, variance));
  return [...sums].map(([what, variance]) => ({ what, uCm: Math.sqrt(variance) }));
}

const NAMES: Readonly<Record<string, string>> = {
  d_position: 'calibration of the position sensor',
  d_taper: 'wire that tapers',
  d_turns: 'strips between rows',
  d_thermal: 'thermal EMFs',
  walk: 'uneven wire',
  rows: 'rows that differ',
  cells: 'voltages that change',
};

/** Median of each effect's size: whoever states the result states it with a factor of two or so for granted (`STATED_END`). */
function likelySizes(bench: FullKnowledge): number[] {
  const scenarios = sizeScenarios(bench);
  return [0, 1, 2].map((which) => {
    const sorted = scenarios.toSorted((a, b) => a.factors[which] - b.factors[which]);
    let held = 0;
    for (const { factors, probability } of sorted) {
      held += probability;
      if (held >= 0.5) return factors[which];
    }
    return sorted[sorted.length - 1].factors[which];
  });
}
