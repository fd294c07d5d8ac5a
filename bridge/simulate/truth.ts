import type { NullView } from '../run/view.ts';
import { circuitOf, emfAt, profileOf, restingSwitches } from './apparatus.ts';
import { balancingLengthCm, restingDriverMa } from './circuit.ts';
import type { Scene } from './scene.ts';
import type { Switches } from './steps.ts';

/** What a scene really holds, for comparison with what the program makes of its lines. */
export interface Truth {
  /** Averaged over the time asked for, as the ratio's are. */
  emf1V: number;
  emf2V: number;
  ratio: number;
  /** Internal resistances of the cells. */
  r1Ohm: number;
  r2Ohm: number;
  loadOhm: number;
  /** End corrections: length of wire that the resistance between terminal and scale zero (or scale end) is worth on an even wire. */
  endACm: number;
  endBCm: number;
  lagMs: number;
  zeroCounts: number;
  sets: TrueSet[];
}

/**
 * One rheostat setting as it is at the run's first moment; later the driver's drift moves lengths + end correction as 1/I, and a
 * cell's with its EMF.
 */
export interface TrueSet {
  set: number;
  driverMa: number;
  /** Null where the cell has no null on the wire. */
  l1Cm: number | null;
  l2Cm: number | null;
  /** With the load across the cell. */
  loaded1Cm: number | null;
  loaded2Cm: number | null;
}

/** The exact balancing length, keys and knobs and time as given. */
export function trueLengthCm(scene: Scene, switches: Partial<Switches>, tS = 0): number | null {
  const all = { ...restingSwitches(scene), ...switches };
  return balancingLengthCm(circuitOf(scene.apparatus, profileOf(scene), all, tS));
}

/** Board seconds from a run's first used null to its last. */
export interface Span {
  fromS: number;
  toS: number;
}

/** From the first to the last of some nulls that are used; undefined where none is. */
export function spanOf(nulls: readonly Pick<NullView, 'used' | 'atS'>[]): Span | undefined {
  const times = nulls.filter(({ used }) => used).map(({ atS }) => atS);
  return times.length === 0 ? undefined : { fromS: Math.min(...times), toS: Math.max(...times) };
}

/** The run's first moment. */
const AT_ONCE: Span = { fromS: 0, toS: 0 };

/** @param span the EMFs are averaged over it; they change in a straight line, so that its middle stands for it */
export function truthOf(scene: Scene, { fromS, toS }: Span = AT_ONCE): Truth {
  const { apparatus, bench, frontEnd } = scene;
  const { cells, wire } = apparatus;
  const [emf1V, emf2V] = ([1, 2] as const).map((cell) => emfAt(cells[cell], (fromS + toS) / 2));
  const cmPerOhm = (bench.wire.rows * bench.wire.rowLengthCm) / wire.resistanceOhm;
  const resting = restingSwitches(scene).rheostatOhm;
  const settings = scene.task.kind === 'script' ? [resting] : scene.task.rheostatOhm;
  return {
    emf1V,
    emf2V,
    ratio: emf1V / emf2V,
    r1Ohm: cells[1].resistanceOhm,
    r2Ohm: cells[2].resistanceOhm,
    loadOhm: apparatus.loadOhm,
    endACm: apparatus.endAOhm * cmPerOhm + apparatus.scaleZeroCm,
    endBCm: apparatus.endBOhm * cmPerOhm,
    lagMs: frontEnd.galvanometer.lagMs,
    zeroCounts: frontEnd.galvanometer.zeroCounts,
    sets: settings.map((rheostatOhm, index) => trueSet(scene, index + 1, rheostatOhm)),
  };
}

function trueSet(scene: Scene, set: number, rheostatOhm: number): TrueSet {
  const resting = { ...restingSwitches(scene), rheostatOhm };
  const length = (cell: 1 | 2, load: boolean) => trueLengthCm(scene, { rheostatOhm, cell, load });
  return {
    set,
    driverMa: restingDriverMa(circuitOf(scene.apparatus, profileOf(scene), resting, 0)),
    l1Cm: length(1, false),
    l2Cm: length(2, false),
    loaded1Cm: length(1, true),
    loaded2Cm: length(2, true),
  };
}
