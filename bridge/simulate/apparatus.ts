import type { Circuit } from './circuit.ts';
import type { Apparatus, Scene } from './scene.ts';
import type { Switches } from './steps.ts';
import { type WireProfile, wireProfile } from './wire-profile.ts';

/** The circuit of a scene, keys and knobs as given, at a time (the driver drifts). */
export function circuitOf(apparatus: Apparatus, wire: WireProfile, switches: Switches, tS: number): Circuit {
  const { driver, faults } = apparatus;
  return {
    wire,
    endAOhm: apparatus.endAOhm,
    endBOhm: apparatus.endBOhm,
    driver: {
      emfV: driver.emfV * (1 + (driver.driftPercentPerMin / 100) * (tS / 60)),
      resistanceOhm: driver.resistanceOhm,
    },
    rheostatOhm: switches.rheostatOhm,
    keyClosed: switches.keyClosed && !faults.keyDead,
    cell: switches.cell === 0 ? null : apparatus.cells[switches.cell],
    loadOhm: switches.load ? (switches.loadOhm ?? apparatus.loadOhm) : null,
    seriesOhm: switches.leadOhm + (switches.protect ? apparatus.protectiveOhm : 0),
    galvanometerOhm: apparatus.galvanometerOhm,
    thermalEmfV: apparatus.thermalEmfUv * 1e-6,
    faults: {
      cellReversed: switches.cell !== 0 && faults.cellsReversed.includes(switches.cell),
      driverReversed: faults.driverReversed,
      galvanometerSwapped: faults.galvanometerSwapped,
      wireBrokenAtCm: faults.wireBrokenAtCm,
      branchOpen: faults.branchOpen,
    },
  };
}

export const profileOf = (scene: Pick<Scene, 'bench' | 'apparatus'>): WireProfile =>
  wireProfile({
    rows: scene.bench.wire.rows,
    rowLengthCm: scene.bench.wire.rowLengthCm,
    ...scene.apparatus.wire,
  });

/** Keys and knobs as they are when a run begins. */
export const restingSwitches = (scene: Scene): Switches => ({
  keyClosed: true,
  cell: 1,
  protect: true,
  load: false,
  rheostatOhm: scene.task.kind === 'script' ? 0 : scene.task.rheostatOhm[0],
  leadOhm: 0,
  ...(scene.task.kind === 'script' ? scene.task.start : {}),
});
