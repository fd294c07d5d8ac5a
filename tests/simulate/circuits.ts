import type { Circuit } from '../../bridge/simulate/circuit.ts';
import { NO_FAULTS } from '../../bridge/simulate/circuit.ts';
import { wireProfile } from '../../bridge/simulate/wire-profile.ts';

/** A uniform metre of wire without end resistances: the potentiometer of the textbooks. */
export const metreWire = (resistanceOhm = 5) =>
  wireProfile({ rows: 1, rowLengthCm: 100, resistanceOhm, pieces: [1], stripsOhm: [] });

/** A textbook's circuit: a metre of wire, a driver, a cell; anything else as told. */
export const textbook = (parts: Partial<Circuit>): Circuit => ({
  wire: metreWire(),
  endAOhm: 0,
  endBOhm: 0,
  driver: { emfV: 2, resistanceOhm: 0 },
  rheostatOhm: 0,
  keyClosed: true,
  cell: { emfV: 1.5, resistanceOhm: 0.5 },
  loadOhm: null,
  seriesOhm: 0,
  galvanometerOhm: 100,
  thermalEmfV: 0,
  faults: NO_FAULTS,
  ...parts,
});
