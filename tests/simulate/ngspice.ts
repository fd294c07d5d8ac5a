import type { Circuit, Currents } from '../../bridge/simulate/circuit.ts';
import type { WireShape } from '../../bridge/simulate/wire-profile.ts';
import { inNgspice } from '../../docs/hardware/in-ngspice.ts';

/** The potentiometer as a netlist for ngspice (Debian package), drawn part by part and solved by its operating point. */

/** A circuit with the jockey at a length, or lifted. */
export interface State {
  circuit: Circuit;
  /** What the circuit's wire was made from. */
  shape: WireShape;
  lengthCm: number | null;
}

type Resistor = (name: string, from: string, to: string, ohm: number) => void;

/**
 * The wire from w0 to w1, every piece and every strip a resistor of its own; the node j is where the jockey stands. A parted wire
 * has two nodes at one place.
 */
function drawWire(shape: WireShape, jockeyCm: number, brokenAtCm: number | null, resistor: Resistor): void {
  const { rows, rowLengthCm, pieces } = shape;
  const total = pieces.reduce((sum, piece) => sum + piece);
  const pieceCm = (rows * rowLengthCm) / pieces.length;
  const cuts = [jockeyCm, ...(brokenAtCm === null ? [] : [brokenAtCm])];
  const places = [
    ...new Set([...pieces.map((_, piece) => piece * pieceCm), rows * rowLengthCm, ...cuts]),
  ].sort((a, b) => a - b);
  const nodeAt = (cm: number) => (cm === jockeyCm ? 'j' : `w_${cm.toFixed(9)}`);
  if (nodeAt(0) !== 'w0') resistor('start', 'w0', nodeAt(0), 0);
  places.slice(1).forEach((toCm, index) => {
    const fromCm = places[index];
    const ohmPerCm =
      (shape.resistanceOhm * pieces[Math.floor((fromCm + toCm) / 2 / pieceCm)]) / total / pieceCm;
    const row = fromCm / rowLengthCm;
    const strip = Number.isInteger(row) && row > 0 ? shape.stripsOhm[row - 1] : 0;
    if (strip !== 0) resistor(`strip${row}`, nodeAt(fromCm), `s_${row}`, strip);
    const behind = fromCm === brokenAtCm ? `b_${index}` : strip === 0 ? nodeAt(fromCm) : `s_${row}`;
    resistor(`piece${index}`, behind, nodeAt(toCm), ohmPerCm * (toCm - fromCm));
  });
  resistor('end', nodeAt(rows * rowLengthCm), 'w1', 0);
}

/** Parts of one circuit; nodes and names carry its number, terminal A is the common ground. */
function drawing(state: State, number: number): string[] {
  const { circuit, lengthCm } = state;
  const { faults, wire } = circuit;
  const parts: string[] = [];
  const node = (name: string) => (name === 'A' ? '0' : `${name}_${number}`);
  const resistor = (name: string, from: string, to: string, ohm: number): void => {
    // ngspice makes a milliohm of a zero-ohm part: a source of 0 V is an exact short instead.
    const [kind, value] = ohm < 1e-9 ? ['v', 0] : ['r', ohm];
    parts.push(`${kind}${name}_${number} ${node(from)} ${node(to)} ${value}`);
  };
  const source = (name: string, plus: string, minus: string, volts: number): void => {
    parts.push(`v${name}_${number} ${node(plus)} ${node(minus)} ${volts}`);
  };
  const atCm = lengthCm ?? wire.lengthCm / 3;
  const broken = faults.wireBrokenAtCm;
  resistor('enda', 'A', 'w0', circuit.endAOhm);
  drawWire(state.shape, atCm, broken, resistor);
  resistor('endb', 'w1', 'x', circuit.endBOhm);
  resistor('rheostat', 'x', 'y', circuit.rheostatOhm);
  source('ammeter', 'y', 'key1', 0);
  if (circuit.keyClosed) source('key', 'key1', 'key2', 0);
  resistor('driver', 'key2', 'minus', circuit.driver.resistanceOhm);
  source('emf', 'A', 'minus', faults.driverReversed ? -circuit.driver.emfV : circuit.driver.emfV);
  if (lengthCm !== null && circuit.cell !== null) {
    source('cell', 'A', 'c1', faults.cellReversed ? -circuit.cell.emfV : circuit.cell.emfV);
    resistor('cell', 'c1', 'c2', circuit.cell.resistanceOhm);
    if (circuit.loadOhm !== null) resistor('load', 'A', 'c2', circuit.loadOhm);
    source('thermal', 'c2', 'c3', circuit.thermalEmfV);
    if (!faults.branchOpen) resistor('series', 'c3', 'c4', circuit.seriesOhm);
    resistor('coil', 'c4', 'c5', circuit.galvanometerOhm);
    const leads = faults.galvanometerSwapped ? ['c5', 'j'] : ['j', 'c5'];
    source('gal', leads[0], leads[1], 0);
  }
  // ngspice refuses an island without a path to ground. Nothing else leads off this one, so the leak carries nothing.
  const branched = hasBranch(state) && !faults.branchOpen;
  const island = !circuit.keyClosed && broken !== null && (broken >= atCm || !branched);
  if (island) resistor('leak', 'w1', 'A', 1e6);
  return parts;
}

const hasBranch = ({ circuit, lengthCm }: State): boolean => lengthCm !== null && circuit.cell !== null;

function netlist(states: readonly State[]): string[] {
  const prints = states.flatMap((state, number) => [
    `print i(vammeter_${number})`,
    ...(hasBranch(state) ? [`print i(vgal_${number})`] : []),
  ]);
  return [
    'potentiometer circuits side by side',
    ...states.flatMap(drawing),
    '.control',
    'set numdgt=12',
    'op',
    ...prints,
    'quit 0',
    '.endc',
    '.end',
    '',
  ];
}

/**
 * Currents of all states from one run of ngspice.
 * @throws Error where ngspice is not installed (`apt-get install ngspice`) or does not answer for every state.
 */
export const solveWithNgspice = (states: readonly State[]): Currents[] =>
  inNgspice(netlist(states), (answer) => {
    const amperes = new Map(
      [...answer.matchAll(/^i\((\w+)\) = (\S+)$/gm)].map((match) => [match[1], Number(match[2])]),
    );
    const read = (name: string): number => {
      const value = amperes.get(name);
      if (value === undefined) throw new Error(`ngspice did not print ${name}:\n${answer.slice(0, 2000)}`);
      return value;
    };
    return states.map((state, number) => ({
      driverMa: 1e3 * read(`vammeter_${number}`),
      galvanometerUa: hasBranch(state) ? 1e6 * read(`vgal_${number}`) : 0,
    }));
  });
