import type { Outcome, PlainMean } from '../../bridge/calc-core/outcome.ts';

/** One experiment with known truth. */
export interface Trial {
  truth: number;
  result: Outcome | null;
  byTheBook: PlainMean | null;
}

export interface Tally {
  experiments: number;
  /** Experiments that gave no result. */
  without: number;
  /** Share of the intervals that hold the truth. */
  coverage: number;
  adoptedRms: number;
  byTheBookRms: number;
  /** Mean of the stated standard uncertainties. */
  meanU: number;
}

const rootMean = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length);

/** How often the stated intervals hold the truth, and how far off the estimates are. */
export function tally(trials: Iterable<Trial>): Tally {
  const adopted: number[] = [];
  const plain: number[] = [];
  let held = 0;
  let stated = 0;
  let experiments = 0;
  for (const { truth, result, byTheBook } of trials) {
    experiments += 1;
    if (result === null || byTheBook === null) continue;
    adopted.push(result.value - truth);
    plain.push(byTheBook.mean - truth);
    if (Math.abs(result.value - truth) <= result.U) held += 1;
    stated += result.u;
  }
  return {
    experiments,
    without: experiments - adopted.length,
    coverage: held / adopted.length,
    adoptedRms: rootMean(adopted),
    byTheBookRms: rootMean(plain),
    meanU: stated / adopted.length,
  };
}
