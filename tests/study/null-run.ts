import { positionScale } from '../../bridge/bench/calibration.ts';
import { lengthFromA } from '../../bridge/bench/geometry.ts';
import type { Formulas } from '../../bridge/calc-core/formulas.ts';
import { Run } from '../../bridge/run/run.ts';
import type { ComparisonSetView } from '../../bridge/run/view.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { comparisonOf } from '../run/work-of.ts';
import { type Readings, simulateReadings } from '../simulate/readings.ts';
import { boundCm } from './null-bound.ts';
import { LIFTED_S } from './null-scenes.ts';

/** One run of a scene: how far off the fold's length is, what it promised, and what was possible. */
export interface NullTrial {
  /** Null where no length was found. */
  errorCm: number | null;
  uReadCm: number;
  boundCm: number;
  /** Error of the straight line through the two samples either side of the sign change; null where there are none. */
  naiveErrorCm: number | null;
}

export function nullTrial(scene: Scene, formulas: Formulas): NullTrial {
  const fold = new Run({ formulas });
  for (const record of simulateRun(scene)) fold.addRecord(record);
  const set: ComparisonSetView | undefined = comparisonOf(fold.view()).sets[0];
  const readings = simulateReadings(scene);
  const truth = truthOf(scene);
  const naive = naiveCm(scene, readings);
  const found = set?.l1Cm ?? null;
  return {
    errorCm: found === null ? null : found - truth,
    uReadCm: set?.uRead1Cm ?? Number.NaN,
    boundCm: boundCm(scene, readings),
    naiveErrorCm: naive === null ? null : naive - truth,
  };
}

function truthOf(scene: Scene): number {
  if (scene.task.kind !== 'script') throw new RangeError('the null study runs scripts');
  const lengthCm = trueLengthCm(scene, { ...scene.task.start, cell: 1 });
  if (lengthCm === null) throw new RangeError('this scene has no null on the wire');
  return lengthCm;
}

/** The way it is done by hand: the first sign change, a straight line through its two samples, the bench file's zero mended. */
function naiveCm(scene: Scene, readings: Readings): number | null {
  const zero = scene.frontEnd.galvanometer.zeroCounts;
  const scale = scene.bench.position === undefined ? null : positionScale(scene.bench.position);
  if (scale === null) return null;
  let before = -1;
  for (let index = 0; index < readings.tS.length; index += 1) {
    if (readings.tS[index] < LIFTED_S || readings.contact[index] === 0) continue;
    if (before >= 0 && (readings.gal[index] - zero) * (readings.gal[before] - zero) < 0) {
      const [a, b] = [readings.gal[before] - zero, readings.gal[index] - zero];
      const [from, to] = [scale(readings.pos[before]), scale(readings.pos[index])];
      return lengthFromA(scene.bench.wire, readings.row[index], from + ((to - from) * a) / (a - b));
    }
    before = index;
  }
  return null;
}
