import type { ComparisonSetView, NullView } from '../../bridge/run/view.ts';
import { viewOf } from '../independent-recordings/fold-text.ts';
import { placeOf } from '../independent-recordings/writer/bench.ts';
import type { OutsideRun } from '../independent-recordings/writer/run.ts';
import { begin, compare } from '../independent-recordings/writer/student.ts';
import { comparisonOf } from '../run/work-of.ts';
import type { ReadingsScene } from './readings-scenes.ts';

/** A balancing length of a set: how far off it is beside the sensor's own error, and what its readings promised. */
export interface LengthScore {
  set: number;
  cell: 1 | 2;
  errorCm: number;
  uReadCm: number;
}

export interface ReadingsTrial {
  /** How many lengths there should be. */
  wanted: number;
  lengths: LengthScore[];
  /** Codes of what was said. */
  codes: string[];
}

/** One recording of a scene, written outside and read through the whole fold. */
export function readingsTrial({ choice, how }: ReadingsScene, seed: number): ReadingsTrial {
  const run = begin({ ...choice, seed });
  const truth = compare(run, how);
  run.lift(2);
  const view = viewOf(run.text);
  const lengths = comparisonOf(view).sets.flatMap((set) => {
    const nulls = view.nulls.filter((nullPoint) => nullPoint.used && nullPoint.set === set.set);
    return ([1, 2] as const).flatMap((cell) => scoreOf(run, set, cell, nulls));
  });
  return { wanted: 2 * truth.length, lengths, codes: view.findings.map(({ code }) => code) };
}

/** The truth of a set's length: at the mean of the currents that truly flowed at its nulls. */
function scoreOf(run: OutsideRun, set: ComparisonSetView, cell: 1 | 2, nulls: NullView[]): LengthScore[] {
  const [lengthCm, uReadCm] = cell === 1 ? [set.l1Cm, set.uRead1Cm] : [set.l2Cm, set.uRead2Cm];
  if (lengthCm === null || uReadCm === null) return [];
  const driverMa = nulls.reduce((sum, { atS }) => sum + run.driverMaAt(atS), 0) / nulls.length;
  const truth = run.lengthAtCm(cell, driverMa);
  const own = nulls.filter((nullPoint) => nullPoint.cell === cell);
  const sensor =
    own.reduce((sum, { atS }) => sum + sensorErrorCm(run, run.truthAtCm(cell, atS)), 0) / own.length;
  return [{ set: set.set, cell, errorCm: lengthCm - sensor - truth, uReadCm }];
}

/** What the sensor's calibration does to a length. */
function sensorErrorCm({ bench, scaleErrorCm }: OutsideRun, lengthCm: number): number {
  const { row, scaleCm } = placeOf(bench, lengthCm);
  const withScale = (row % 2 === 1) === (bench.zeroEnd === 'left');
  return scaleErrorCm(scaleCm) * (withScale ? 1 : -1);
}
