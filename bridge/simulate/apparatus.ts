import type { Circuit } from './circuit.ts';
import { randomStream } from './random.ts';
import type { Apparatus, Cell, Scene } from './scene.ts';
import type { Switches } from './steps.ts';
import { drawnWire, type WireProfile, wireProfile } from './wire-profile.ts';

const drifted = (emfV: number, percentPerMin: number, tS: number): number =>
  emfV * (1 + (percentPerMin / 100) * (tS / 60));

/** EMF of a cell in V at a time of the run. */
export const emfAt = ({ emfV, driftPercentPerMin }: Cell, tS: number): number =>
  drifted(emfV, driftPercentPerMin, tS);

/** Joint at A, and the wire before the scale's zero. */
const endAOhm = ({ endAOhm: jointOhm, scaleZeroCm, wire }: Apparatus, { lengthCm }: WireProfile): number =>
  jointOhm + (scaleZeroCm * wire.resistanceOhm) / lengthCm;

function cellOf({ cells }: Apparatus, cell: Switches['cell'], tS: number): Circuit['cell'] {
  return cell === 0 ? null : { emfV: emfAt(cells[cell], tS), resistanceOhm: cells[cell].resistanceOhm };
}

/** The circuit of a scene, keys and knobs as given, at a time (driver and cells drift). */
export function circuitOf(apparatus: Apparatus, wire: WireProfile, switches: Switches, tS: number): Circuit {
  const { driver, faults } = apparatus;
  const { cell } = switches;
  return {
    wire,
    endAOhm: endAOhm(apparatus, wire),
    endBOhm: apparatus.endBOhm,
    driver: {
      emfV: drifted(driver.emfV, driver.driftPercentPerMin, tS),
      resistanceOhm: driver.resistanceOhm,
    },
    rheostatOhm: switches.rheostatOhm,
    keyClosed: switches.keyClosed && !faults.keyDead,
    cell: cellOf(apparatus, cell, tS),
    loadOhm: switches.load ? (switches.loadOhm ?? apparatus.loadOhm) : null,
    seriesOhm: switches.leadOhm + (switches.protect ? apparatus.protectiveOhm : 0),
    galvanometerOhm: apparatus.galvanometerOhm,
    thermalEmfV: cell === 0 ? 0 : apparatus.thermalEmfUv[cell] * 1e-6,
    faults: {
      cellReversed: cell !== 0 && faults.cellsReversed.includes(cell),
      driverReversed: faults.driverReversed,
      galvanometerSwapped: faults.galvanometerSwapped,
      wireBrokenAtCm: faults.wireBrokenAtCm,
      branchOpen: faults.branchOpen,
    },
  };
}

/** The wire of a scene, drawn by its seed. */
export const profileOf = ({
  bench,
  apparatus,
  seed,
}: Pick<Scene, 'bench' | 'apparatus' | 'seed'>): WireProfile =>
  wireProfile(drawnWire(apparatus.wire, bench.wire, (name) => randomStream(seed, name)));

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
