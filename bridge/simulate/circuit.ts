/**
 * The potentiometer circuit, solved exactly (Kirchhoff's laws, by Thevenin's theorem at the jockey).
 *
 * Driver loop: driver EMF and internal resistance, key, rheostat, then from terminal A: end resistance
 * R_A, the wire, end resistance R_B. Galvanometer branch from terminal A to the jockey: the cell (a load
 * resistance across it where its key is closed), protective resistance, galvanometer. Currents in microamperes are
 * positive in the direction that a rightly connected cell drives with the jockey at A.
 */

import type { WireProfile } from './wire-profile.ts';

export interface EmfSource {
  emfV: number;
  resistanceOhm: number;
}

/** What can be wrong with the connections, beside an open key. */
export interface CircuitFaults {
  cellReversed: boolean;
  driverReversed: boolean;
  galvanometerSwapped: boolean;
  /** Length from A where the wire is parted; null where it is whole. */
  wireBrokenAtCm: number | null;
  /** A lead of the galvanometer branch is off. */
  branchOpen: boolean;
}

export const NO_FAULTS: CircuitFaults = {
  cellReversed: false,
  driverReversed: false,
  galvanometerSwapped: false,
  wireBrokenAtCm: null,
  branchOpen: false,
};

/** Everything but the place of the jockey. */
export interface Circuit {
  wire: WireProfile;
  endAOhm: number;
  endBOhm: number;
  driver: EmfSource;
  rheostatOhm: number;
  keyClosed: boolean;
  /** The cell in circuit; null where the two-way key puts none there. */
  cell: EmfSource | null;
  /** Load resistance across the cell; null where its key is open. */
  loadOhm: number | null;
  /** Protective resistance and leads in series with the galvanometer; 0 where cut out. */
  seriesOhm: number;
  galvanometerOhm: number;
  /** Parasitic EMF of the branch, in volts, helping the cell. */
  thermalEmfV: number;
  faults: CircuitFaults;
}

export interface Currents {
  galvanometerUa: number;
  /** Through the driver, positive when a rightly connected driver delivers it. */
  driverMa: number;
}

/** The cell with its load as one source: E R/(R + r) behind r R/(R + r). */
export function loadedCell(circuit: Pick<Circuit, 'cell' | 'loadOhm' | 'faults'>): EmfSource | null {
  const cell = circuit.cell;
  if (cell === null || circuit.faults.branchOpen) return null;
  const share = circuit.loadOhm === null ? 1 : circuit.loadOhm / (circuit.loadOhm + cell.resistanceOhm);
  const sign = circuit.faults.cellReversed ? -1 : 1;
  return { emfV: sign * cell.emfV * share, resistanceOhm: cell.resistanceOhm * share };
}

const driverEmfV = (circuit: Circuit): number =>
  circuit.faults.driverReversed ? -circuit.driver.emfV : circuit.driver.emfV;

/** Resistance in ohm once round the driver loop. */
export const loopOhm = (circuit: Circuit): number =>
  circuit.endAOhm +
  circuit.wire.totalOhm +
  circuit.endBOhm +
  circuit.rheostatOhm +
  circuit.driver.resistanceOhm;

/** Driver current in mA with no current in the galvanometer branch (jockey lifted, or at the null). */
export function restingDriverMa(circuit: Circuit): number {
  if (!circuit.keyClosed || circuit.faults.wireBrokenAtCm !== null) return 0;
  return (1000 * driverEmfV(circuit)) / loopOhm(circuit);
}

/** The driver loop as the branch sees it between terminal A and the jockey (Thevenin), and what it does to the driver. */
interface SeenFromBranch {
  openV: number;
  innerOhm: number;
  /** Driver current in amperes when the branch carries so many. */
  driverA(branchA: number): number;
}

/** Null where the jockey's side of the wire hangs in the air. */
function seenFromBranch(circuit: Circuit, lengthCm: number): SeenFromBranch | null {
  const loop = loopOhm(circuit);
  const toAOhm = circuit.endAOhm + circuit.wire.ohmAt(lengthCm);
  const emfV = driverEmfV(circuit);
  const broken = circuit.faults.wireBrokenAtCm;
  const beyondBreak = broken !== null && broken < lengthCm;
  if (beyondBreak && !circuit.keyClosed) return null;
  if (beyondBreak) return { openV: emfV, innerOhm: loop - toAOhm, driverA: (branchA) => -branchA };
  if (broken !== null || !circuit.keyClosed) return { openV: 0, innerOhm: toAOhm, driverA: () => 0 };
  return {
    openV: (emfV * toAOhm) / loop,
    innerOhm: (toAOhm * (loop - toAOhm)) / loop,
    driverA: (branchA) => (emfV - branchA * toAOhm) / loop,
  };
}

/** Currents with the jockey on the wire at a length from A. */
export function currentsAt(circuit: Circuit, lengthCm: number): Currents {
  const seen = seenFromBranch(circuit, lengthCm);
  if (seen === null) return { galvanometerUa: 0, driverMa: 0 };
  const cell = loadedCell(circuit);
  if (cell === null) return { galvanometerUa: 0, driverMa: 1000 * seen.driverA(0) };
  const branchOhm = cell.resistanceOhm + circuit.seriesOhm + circuit.galvanometerOhm;
  const branchA = (cell.emfV + circuit.thermalEmfV - seen.openV) / (branchOhm + seen.innerOhm);
  return {
    galvanometerUa: (circuit.faults.galvanometerSwapped ? -1e6 : 1e6) * branchA,
    driverMa: 1000 * seen.driverA(branchA),
  };
}

/** Currents with the jockey lifted. */
export const currentsLifted = (circuit: Circuit): Currents => ({
  galvanometerUa: 0,
  driverMa: restingDriverMa(circuit),
});

/** Length from A in cm at which the galvanometer's current is exactly zero; null where no place on the wire does it. */
export function balancingLengthCm(circuit: Circuit): number | null {
  const cell = loadedCell(circuit);
  const driverMa = restingDriverMa(circuit);
  if (cell === null || driverMa === 0) return null;
  const toAOhm = (cell.emfV + circuit.thermalEmfV) / (driverMa / 1000);
  return circuit.wire.lengthAt(toAOhm - circuit.endAOhm);
}
