import { chanceFrom } from './chance.ts';
import type { Trial } from './trial.ts';

/** Figures of a scene, each with its own 95 % interval. */

export interface Figure {
  value: number;
  low: number;
  high: number;
}

export interface Figures {
  draws: number;
  /** Draws without a result. */
  without: number;
  coverage: Figure;
  unflagged: Figure;
  falseAlarms: Figure;
  /** Relative root mean square errors. */
  rms: number;
  plainRms: number;
  /** rms over plainRms. */
  rmsRatio: Figure;
  medianU: number;
  /** Median U over rms. */
  uOverRms: Figure;
}

/** Wilson's interval for a share (J. Am. Stat. Assoc. 22, 209 (1927), from memory). */
export function share(hits: number, of: number): Figure {
  if (of === 0) return { value: Number.NaN, low: 0, high: 1 };
  const z = 1.959964;
  const p = hits / of;
  const middle = (p + z ** 2 / (2 * of)) / (1 + z ** 2 / of);
  const half = (z / (1 + z ** 2 / of)) * Math.sqrt((p * (1 - p)) / of + z ** 2 / (4 * of ** 2));
  return { value: p, low: middle - half, high: middle + half };
}

const rootMean = (squares: readonly number[]): number =>
  Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / squares.length);

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

interface Pair {
  square: number;
  plainSquare: number;
  u: number;
}

const answered = (trials: readonly Trial[]): Pair[] =>
  trials.flatMap(({ error, plainError, relativeU }) =>
    error === null || plainError === null || relativeU === null
      ? []
      : [{ square: error ** 2, plainSquare: plainError ** 2, u: relativeU }],
  );

const RESAMPLES = 300;

/** Percentile bootstrap (Efron 1979), seeded. */
function resampled(pairs: readonly Pair[], of: (pairs: readonly Pair[]) => number): Figure {
  const chance = chanceFrom(7);
  const values = Array.from({ length: RESAMPLES }, () => of(pairs.map(() => chance.oneOf(pairs))));
  values.sort((a, b) => a - b);
  const at = (part: number) => values[Math.min(RESAMPLES - 1, Math.floor(part * RESAMPLES))];
  return { value: of(pairs), low: at(0.025), high: at(0.975) };
}

const rmsOf = (pairs: readonly Pair[]): number => rootMean(pairs.map(({ square }) => square));
const plainOf = (pairs: readonly Pair[]): number => rootMean(pairs.map(({ plainSquare }) => plainSquare));

export function figuresOf(trials: readonly Trial[]): Figures {
  const pairs = answered(trials);
  const count = (is: (trial: Trial) => boolean) => trials.filter(is).length;
  const medianU = median(pairs.map(({ u }) => u));
  return {
    draws: trials.length,
    without: trials.length - pairs.length,
    coverage: share(
      count(({ held }) => held),
      pairs.length,
    ),
    unflagged: share(
      count(({ unflagged }) => unflagged),
      trials.length,
    ),
    falseAlarms: share(
      count(({ falseAlarm }) => falseAlarm),
      trials.length,
    ),
    rms: rmsOf(pairs),
    plainRms: plainOf(pairs),
    rmsRatio: resampled(pairs, (some) => rmsOf(some) / plainOf(some)),
    medianU,
    uOverRms: resampled(pairs, (some) => medianU / rmsOf(some)),
  };
}
