import fQuantile from '@stdlib/stats-base-dists-f-quantile';
import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { varianceOf } from './interlaboratory.ts';
import { plainMean } from './plain-mean.ts';

/** Tests of ISO 5725-2:2019, clause 8.3: an outlier by chance in one of a hundred groups, a straggler in one of twenty. */
export interface OutlierTest {
  /** Position of the bench or result that stands out most. */
  index: number;
  statistic: number;
  verdict: 'outlier' | 'straggler' | 'none';
}

const OUTLIER = 0.01;
const STRAGGLER = 0.05;

/**
 * Cochran's test: is the spread of one bench's runs larger than that of the others? Of benches with two or more runs; null for
 * fewer than two of these, or where no runs differ.
 */
export function cochranTest(benches: readonly (readonly number[])[]): OutlierTest | null {
  const repeated = benches.flatMap((runs, index) => (runs.length > 1 ? [{ index, runs }] : []));
  const variances = repeated.map(({ runs }) => varianceOf(runs));
  const total = variances.reduce((sum, variance) => sum + variance, 0);
  if (repeated.length < 2 || total === 0) return null;
  const most = indexOfMost(variances);
  const replicates = repeated.reduce((sum, { runs }) => sum + runs.length, 0) / repeated.length;
  const statistic = variances[most] / total;
  const critical = (risk: number) => cochranCritical(repeated.length, replicates, risk);
  return { index: repeated[most].index, statistic, verdict: verdictOf(statistic, critical) };
}

/** Critical value for `benches` of `replicates` runs each; where numbers differ their mean stands for them. */
export function cochranCritical(benches: number, replicates: number, risk: number): number {
  const dof = replicates - 1;
  return 1 / (1 + (benches - 1) / fQuantile(1 - risk / benches, dof, (benches - 1) * dof));
}

/** Grubbs' test for the value furthest from the mean, on either side; null for fewer than three or where none differ. */
export function grubbsTest(values: readonly number[]): OutlierTest | null {
  const { mean, standardDeviation } = plainMean(values);
  if (values.length < 3 || !standardDeviation) return null;
  const offsets = values.map((value) => Math.abs(value - mean) / standardDeviation);
  const index = indexOfMost(offsets);
  const critical = (risk: number) => grubbsCritical(values.length, risk);
  return { index, statistic: offsets[index], verdict: verdictOf(offsets[index], critical) };
}

/** Critical value of the two-sided test of `count` values. */
export function grubbsCritical(count: number, risk: number): number {
  const t = tQuantile(1 - risk / (2 * count), count - 2);
  return ((count - 1) * t) / Math.sqrt(count * (count - 2 + t * t));
}

function verdictOf(statistic: number, critical: (risk: number) => number): OutlierTest['verdict'] {
  if (statistic > critical(OUTLIER)) return 'outlier';
  return statistic > critical(STRAGGLER) ? 'straggler' : 'none';
}

const indexOfMost = (values: readonly number[]): number => values.indexOf(Math.max(...values));
