import { mean, median, rollup } from 'd3-array';
import type { LengthScore } from './readings-run.ts';
import { readingsTrial } from './readings-run.ts';
import type { ReadingsScene } from './readings-scenes.ts';

export interface ReadingsSummary {
  lengths: number;
  /** Lengths that were not found. */
  missing: number;
  rmsUm: number;
  medianUm: number;
  /** Root mean square of the errors, each over its `uReadCm`. */
  z: number;
  /** Share of lengths within 1.96 `uReadCm`. */
  holds: number;
  /** Mean error in um by set and cell: a bias shows here. */
  byPlace: Record<string, number>;
  said: Record<string, number>;
}

/** @param first seed of the first run; each scene goes on from there */
export function runReadings(scene: ReadingsScene, runs: number, first = 1): ReadingsSummary {
  const trials = Array.from({ length: runs }, (_, run) => readingsTrial(scene, first + run));
  const lengths = trials.flatMap((trial) => trial.lengths);
  const said: Record<string, number> = {};
  for (const code of trials.flatMap(({ codes }) => [...new Set(codes)])) said[code] = (said[code] ?? 0) + 1;
  return {
    lengths: lengths.length,
    missing: trials.reduce((sum, { wanted }) => sum + wanted, 0) - lengths.length,
    rmsUm: 1e4 * rms(lengths.map(({ errorCm }) => errorCm)),
    medianUm: 1e4 * (median(lengths, ({ uReadCm }) => uReadCm) ?? Number.NaN),
    z: rms(lengths.map(({ errorCm, uReadCm }) => errorCm / uReadCm)),
    holds:
      lengths.filter(({ errorCm, uReadCm }) => Math.abs(errorCm) < 1.96 * uReadCm).length / lengths.length,
    byPlace: meansByPlace(lengths),
    said,
  };
}

const rms = (values: number[]) =>
  Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length);

const meansByPlace = (lengths: readonly LengthScore[]): Record<string, number> =>
  Object.fromEntries(
    rollup(
      lengths,
      (of) => Math.round(1e4 * (mean(of, ({ errorCm }) => errorCm) ?? 0)),
      ({ set, cell }) => `set ${set} cell ${cell}`,
    ),
  );
