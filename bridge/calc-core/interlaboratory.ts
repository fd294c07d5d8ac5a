import { plainMean } from './plain-mean.ts';

/**
 * One quantity measured at several benches, some of them more than once: ISO 5725-2:2019, clause 7, with bench for laboratory and a
 * whole run for a replicate. Numbers of runs may differ. Null stands for what the runs cannot tell.
 */
export interface Precision {
  /** Pooled standard deviation of runs at one bench; null while no bench has two. */
  repeatability: number | null;
  /** Standard deviation between benches beyond what repeatability explains; null for one bench or without repeatability. */
  betweenBenches: number | null;
  /** Of single runs at any bench. */
  reproducibility: number | null;
}

/** `benches`: the results of each bench's runs, at least one each. */
export function precisionOf(benches: readonly (readonly number[])[]): Precision {
  const repeatability = repeatabilityOf(benches);
  if (repeatability === null || benches.length < 2)
    return { repeatability, betweenBenches: null, reproducibility: null };
  const counts = benches.map((runs) => runs.length);
  const all = sum(counts);
  const perBench = (all - sum(counts.map((n) => n * n)) / all) / (benches.length - 1);
  const { mean } = plainMean(benches.flat());
  const between =
    sum(benches.map((runs) => runs.length * (plainMean(runs).mean - mean) ** 2)) / (benches.length - 1);
  const betweenSquare = Math.max(0, (between - repeatability ** 2) / perBench);
  return {
    repeatability,
    betweenBenches: Math.sqrt(betweenSquare),
    reproducibility: Math.hypot(repeatability, Math.sqrt(betweenSquare)),
  };
}

function repeatabilityOf(benches: readonly (readonly number[])[]): number | null {
  const repeated = benches.filter((runs) => runs.length > 1);
  const dof = sum(repeated.map((runs) => runs.length - 1));
  if (dof === 0) return null;
  return Math.sqrt(sum(repeated.map((runs) => (runs.length - 1) * varianceOf(runs))) / dof);
}

/** Least number of benches of which h says anything. */
const LEAST_FOR_H = 3;

/** Mandel's h of each bench: how far its mean lies from the mean of the benches' means, in their standard deviations. */
export function betweenStatistic(benches: readonly (readonly number[])[]): (number | null)[] {
  const means = benches.map((runs) => plainMean(runs).mean);
  const { mean, standardDeviation } = plainMean(means);
  if (means.length < LEAST_FOR_H || !standardDeviation) return means.map(() => null);
  return means.map((one) => (one - mean) / standardDeviation);
}

/** Mandel's k of each bench: its own standard deviation over the pooled one; null for a bench with one run. */
export function withinStatistic(benches: readonly (readonly number[])[]): (number | null)[] {
  const repeated = benches.filter((runs) => runs.length > 1);
  const pooled = Math.sqrt(sum(repeated.map(varianceOf)) / repeated.length);
  return benches.map((runs) =>
    runs.length < 2 || repeated.length < 2 || pooled === 0 ? null : Math.sqrt(varianceOf(runs)) / pooled,
  );
}

/** Of two or more runs. */
export const varianceOf = (runs: readonly number[]): number => (plainMean(runs).standardDeviation ?? 0) ** 2;

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
