import type { AveragingTask } from './averaged-outcome.ts';
import { bothAxesLine, ordinaryLine, weightedLine } from './line-fit.ts';
import type { LoadEntry } from './load-entries.ts';
import type { LoadLine, Polarisation } from './outcome.ts';
import { uncertaintyOf } from './set-uncertainty.ts';

/** What tests an internal-resistance run: the line through the loads, and the open cell's EMF from set to set. */

/**
 * l0/l - 1 against 1/R with both their uncertainties (York). The uncertainties of the line leave out what all sets
 * share; the fit of r keeps it. Null for fewer than two different loads.
 */
export function loadLine(entries: readonly LoadEntry[], task: AveragingTask): LoadLine | null {
  const points = entries.map((entry) => linePoint(entry, task));
  const line = bothAxesLine(
    points.map((point) => ({ x: point.perOhm, y: point.excess, ux: point.uPerOhm, uy: point.uExcess })),
  );
  if (line === null) return null;
  return {
    slopeOhm: line.slope,
    uSlopeOhm: line.uSlope,
    intercept: line.intercept,
    uIntercept: line.uIntercept,
    points,
  };
}

function linePoint({ set, l0At, lAt, loadAt }: LoadEntry, task: AveragingTask): LoadLine['points'][number] {
  const ratio = set.l0.lengthCm / set.l.lengthCm;
  const lengths = task.inputs.map((_, at) => (at === l0At ? 1 : at === lAt ? -ratio : 0));
  const load = task.inputs.map((_, at) => (at === loadAt ? 1 : 0));
  return {
    set: set.set,
    perOhm: 1 / set.loadOhm,
    uPerOhm: uncertaintyOf(load, task) / set.loadOhm ** 2,
    excess: ratio - 1,
    uExcess: uncertaintyOf(lengths, task) / set.l.lengthCm,
  };
}

/**
 * Relative trend of l0·I, which stands for the open EMF, over the open lengths in their order. Its uncertainty is the larger
 * of what the lengths and what the scatter about the trend allow, for nobody states the noise of the driver current.
 */
export function polarisation(entries: readonly LoadEntry[], task: AveragingTask): Polarisation | null {
  const open = entries.filter(
    ({ l0At }, index) => entries.findIndex((other) => other.l0At === l0At) === index,
  );
  const emfs = open.map(({ set }) => (set.driverMa === null ? Number.NaN : set.l0.lengthCm * set.driverMa));
  if (!emfs.every((emf) => emf > 0)) return null;
  const order = open.map((_, index) => index);
  const relative = emfs.map((emf) => emf / emfs[0]);
  const uRelative = open.map(
    ({ set, l0At }) =>
      uncertaintyOf(
        task.inputs.map((_, at) => (at === l0At ? 1 : 0)),
        task,
      ) / set.l0.lengthCm,
  );
  const line = weightedLine(order, relative, uRelative);
  if (line === null) return null;
  const scatter = ordinaryLine(order, relative)?.uSlope ?? 0;
  return { perSet: line.slope, uPerSet: Math.max(line.uSlope, scatter) };
}
