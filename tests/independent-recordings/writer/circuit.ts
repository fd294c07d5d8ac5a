/** The bench's circuit, solved by the outside writer for itself: one wire, one driver, one cell branch. Ohm, volt, ampere. */

export interface Circuit {
  /** Of the whole wire, strips included. */
  wireOhm: number;
  wireCm: number;
  /** Resistance of an uneven wire from its beginning to a length; where there is none, the wire is even. */
  ohmTo?: (lengthCm: number) => number;
  /** Of the leads between the terminals and the wire's ends A and B. */
  endAOhm: number;
  endBOhm: number;
  driverV: number;
  driverOhm: number;
  galvanometerOhm: number;
  protectOhm: number;
  cells: Record<1 | 2, { emfV: number; ohm: number }>;
}

export interface Setting {
  cell: 0 | 1 | 2;
  rheostatOhm: number;
  keyClosed: boolean;
  protect: boolean;
  /** Resistance across the cell; null for none. */
  loadOhm: number | null;
  /** Where the wire is broken, in cm from A; null for a sound wire. */
  brokenCm: number | null;
  /** Nothing flows through the galvanometer's branch. */
  branchOpen: boolean;
}

export interface Currents {
  galvanometerA: number;
  driverA: number;
}

const ohmTo = ({ ohmTo: uneven, wireOhm, wireCm }: Circuit, lengthCm: number): number =>
  uneven === undefined ? (wireOhm * lengthCm) / wireCm : uneven(lengthCm);

/** The length that has a resistance, in cm from A: on an uneven wire by halving, off the wire by its mean resistance. */
function lengthWith(circuit: Circuit, ohm: number): number {
  const { wireOhm, wireCm } = circuit;
  const even = (ohm * wireCm) / wireOhm;
  if (circuit.ohmTo === undefined || even <= 0 || even >= wireCm) return even;
  let [low, high] = [0, wireCm];
  for (let step = 0; step < 40; step += 1) {
    const middle = (low + high) / 2;
    if (circuit.ohmTo(middle) < ohm) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The cell as its terminals show it: a load across it lowers both EMF and resistance (Thevenin). */
function cellSeen(circuit: Circuit, setting: Setting): { v: number; ohm: number } | null {
  if (setting.cell === 0) return null;
  const { emfV, ohm } = circuit.cells[setting.cell];
  if (setting.loadOhm === null) return { v: emfV, ohm };
  const share = setting.loadOhm / (setting.loadOhm + ohm);
  return { v: emfV * share, ohm: ohm * share };
}

/** Currents with the jockey held at a length from A, in cm; null for a lifted jockey. */
export function currents(circuit: Circuit, setting: Setting, lengthCm: number | null): Currents {
  const loopOhm =
    circuit.endAOhm + circuit.wireOhm + circuit.endBOhm + circuit.driverOhm + setting.rheostatOhm;
  const whole = setting.keyClosed && setting.brokenCm === null;
  const driverA = whole ? circuit.driverV / loopOhm : 0;
  const cell = cellSeen(circuit, setting);
  if (lengthCm === null || cell === null || setting.branchOpen) return { galvanometerA: 0, driverA };
  const branchOhm = circuit.galvanometerOhm + (setting.protect ? circuit.protectOhm : 0) + cell.ohm;
  const aOhm = circuit.endAOhm + ohmTo(circuit, lengthCm);
  if (whole) {
    const i = (cell.v - driverA * aOhm) / (branchOhm + (aOhm * (loopOhm - aOhm)) / loopOhm);
    return { galvanometerA: i, driverA: driverA - (i * aOhm) / loopOhm };
  }
  const onA = setting.brokenCm === null || lengthCm < setting.brokenCm;
  if (onA) return { galvanometerA: cell.v / (branchOhm + aOhm), driverA: 0 };
  if (!setting.keyClosed) return { galvanometerA: 0, driverA: 0 };
  // Beyond the break the branch closes through the driver.
  const i = (cell.v - circuit.driverV) / (branchOhm + loopOhm - aOhm);
  return { galvanometerA: i, driverA: -i };
}

/** Balancing length in cm from A; beyond the wire where it has none. */
export function balanceCm(circuit: Circuit, setting: Setting): number {
  const cell = cellSeen(circuit, setting);
  const { driverA } = currents(circuit, setting, null);
  if (cell === null) return Number.NaN;
  return lengthWith(circuit, cell.v / driverA - circuit.endAOhm);
}
