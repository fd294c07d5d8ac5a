import { circuitOf, profileOf, restingSwitches } from './apparatus.ts';
import { balancingLengthCm, restingDriverMa } from './circuit.ts';
import type { Scene } from './scene.ts';
import type { Switches } from './steps.ts';

/** What a scene really holds, for comparison with what the program makes of its lines. */
export interface Truth {
  emf1V: number;
  emf2V: number;
  ratio: number;
  /** Internal resistances of the cells. */
  r1Ohm: number;
  r2Ohm: number;
  loadOhm: number;
  /** End corrections: length of wire that the resistance between terminal and scale zero (or scale end) is worth. */
  endACm: number;
  endBCm: number;
  lagMs: number;
  zeroCounts: number;
  sets: TrueSet[];
}

/** One rheostat setting as it is at the run's first moment; the driver's drift moves lengths + end correction as 1/I later on. */
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

export function truthOf(scene: Scene): Truth {
  const { apparatus, bench, frontEnd } = scene;
  const { cells, wire } = apparatus;
  const cmPerOhm = (bench.wire.rows * bench.wire.rowLengthCm) / wire.resistanceOhm;
  const resting = restingSwitches(scene).rheostatOhm;
  const settings = scene.task.kind === 'script' ? [resting] : scene.task.rheostatOhm;
  return {
    emf1V: cells[1].emfV,
    emf2V: cells[2].emfV,
    ratio: cells[1].emfV / cells[2].emfV,
    r1Ohm: cells[1].resistanceOhm,
    r2Ohm: cells[2].resistanceOhm,
    loadOhm: apparatus.loadOhm,
    endACm: apparatus.endAOhm * cmPerOhm,
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
