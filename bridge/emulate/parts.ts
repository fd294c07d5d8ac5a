/**
 * The parts of docs/hardware.md: what each is, and which nets its terminals are joined to. The circuit diagram, the parts table,
 * the netlist for ngspice and the emulated front end all take their values from here.
 */

export type PartKind =
  | 'resistor'
  | 'capacitor'
  | 'potentiometer'
  | 'diode'
  | 'amplifier'
  | 'fuse'
  | 'switch'
  | 'connector'
  | 'module';

/** Rows of the bench that the list is for. */
const ROWS = 10;

/** Diodes of the row switches: one to each line whose bit is 1 in the row's number. */
export const rowDiodes = (rows: number): number =>
  Array.from({ length: rows }, (_, index) => (index + 1).toString(2).replaceAll('0', '').length).reduce(
    (sum, ones) => sum + ones,
    0,
  );

/** `count` pieces that the drawing does not show, numbered from `from` on. */
const unwired = (letter: string, from: number, count: number): Record<string, string[]> =>
  Object.fromEntries(Array.from({ length: count }, (_, index) => [`${letter}${from + index}`, []]));

/** Pieces of one kind and value. */
export interface PartGroup {
  kind: PartKind;
  /**
   * By name, the nets of each piece: two ends; anode and cathode of a diode; inputs + and −, output of an amplifier; two ends and wiper of
   * a potentiometer. Empty where it is wired as the text says.
   */
  pieces: Readonly<Record<string, readonly string[]>>;
  /** In ohms or farads; null where it has none. */
  value: number | null;
  /** Relative; null where it does not matter. */
  tolerance: number | null;
  subject: string;
  /** What to look for when choosing. */
  choose: string;
}

export const PART_GROUPS: readonly PartGroup[] = [
  {
    kind: 'resistor',
    pieces: { R1: ['cells', 'A'] },
    value: 100,
    tolerance: 0.001,
    subject: 'shunt, between the joined + terminals of the cells and A',
    choose: 'at most 25 ppm/K',
  },
  {
    kind: 'diode',
    pieces: { D1: ['A', 'cells'], D2: ['cells', 'A'] },
    value: null,
    tolerance: null,
    subject: 'clamp over the shunt, head to tail',
    choose: 'silicon signal diodes, not Schottky: these leak',
  },
  {
    kind: 'resistor',
    pieces: { R2: ['A', 'a1+'], R3: ['cells', 'a2+'] },
    value: 1_000,
    tolerance: 0.01,
    subject: "into the amplifier's inputs",
    choose: 'any',
  },
  {
    kind: 'resistor',
    pieces: { R4: ['a1', 'a1-'], R5: ['a2', 'a2-'] },
    value: 24_900,
    tolerance: 0.001,
    subject: 'feedback of the first stage',
    choose: 'at most 25 ppm/K',
  },
  {
    kind: 'resistor',
    pieces: { R6: ['a1-', 'a2-'] },
    value: 205,
    tolerance: 0.001,
    subject: 'sets the gain',
    choose: 'at most 25 ppm/K',
  },
  {
    kind: 'resistor',
    pieces: { R7: ['a1', 'a3-'], R8: ['a2', 'a3+'], R9: ['a3-', 'a3'], R10: ['a3+', 'mid'] },
    value: 100_000,
    tolerance: 0.001,
    subject: 'second stage, difference',
    choose: 'from one lot',
  },
  {
    kind: 'capacitor',
    pieces: { C1: ['a3-', 'a3'], C2: ['a3+', 'mid'] },
    value: 22e-9,
    tolerance: 0.05,
    subject: 'across R9 and R10: low-pass',
    choose: 'film or C0G, from one lot',
  },
  {
    kind: 'amplifier',
    pieces: {
      A1: ['a1+', 'a1-', 'a1'],
      A2: ['a2+', 'a2-', 'a2'],
      A3: ['a3+', 'a3-', 'a3'],
      A4: ['ref', 'mid', 'mid'],
      A5: ['wiper', 'a5', 'a5'],
      A6: ['a6+', 'a6-', 'a6'],
    },
    value: null,
    tolerance: null,
    subject: 'first stage (A1, A2), second (A3), mid-rail (A4), position (A5), driver current (A6)',
    choose:
      'zero-drift, rail-to-rail in and out, 5 V: offset at most 10 µV, rejection at least 100 dB, output within 30 mV of either rail at 20 kΩ, 0.3 MHz or more',
  },
  {
    kind: 'resistor',
    pieces: { R26: ['supply', 'ref'], R27: ['ref', '0'] },
    value: 10_000,
    tolerance: 0.01,
    subject: 'mid-rail divider',
    choose: 'any',
  },
  {
    kind: 'capacitor',
    pieces: { C6: ['ref', '0'] },
    value: 10e-6,
    tolerance: 0.2,
    subject: 'keeps the mid-rail quiet',
    choose: 'ceramic, 10 V or more',
  },
  {
    kind: 'resistor',
    pieces: { R28: ['mid', 'A'] },
    value: 1_000,
    tolerance: 0.01,
    subject: 'holds end A at mid-rail',
    choose: 'any',
  },
  {
    kind: 'resistor',
    pieces: { R11: ['driver', 'A'] },
    value: 1,
    tolerance: 0.01,
    subject: "shunt in the driver's lead at A",
    choose: '1 W, at most 25 ppm/K: its warming is read as a change of current',
  },
  {
    kind: 'resistor',
    pieces: { R29: ['A', 'a6-'], R30: ['driver', 'a6+'] },
    value: 10_000,
    tolerance: 0.001,
    subject: 'into the difference amplifier A6',
    choose: 'from one lot',
  },
  {
    kind: 'resistor',
    pieces: { R31: ['a6-', 'a6'] },
    value: 243_000,
    tolerance: 0.001,
    subject: 'its feedback',
    choose: 'at most 25 ppm/K',
  },
  {
    kind: 'resistor',
    pieces: { R32: ['a6+', 'supply'] },
    value: 10_000_000,
    tolerance: 0.01,
    subject: 'its pedestal, with R33',
    choose: 'any',
  },
  {
    kind: 'resistor',
    pieces: { R33: ['a6+', '0'] },
    value: 249_000,
    tolerance: 0.001,
    subject: 'its pedestal, with R32: side by side they are as large as R31',
    choose: 'at most 25 ppm/K',
  },
  {
    kind: 'potentiometer',
    pieces: { P1: ['low', 'high', 'wiper'] },
    value: 10_000,
    tolerance: 0.2,
    subject: 'position',
    choose: 'linear, a stroke of a metre; see below',
  },
  {
    kind: 'resistor',
    pieces: { R24: ['high', 'supply'], R25: ['low', '0'] },
    value: 270,
    tolerance: 0.01,
    subject: 'keep the ends of the track out of the saturated region',
    choose: 'any',
  },
  {
    kind: 'resistor',
    pieces: { R12: ['a3', 'pc0'], R13: ['a5', 'pc1'], R14: ['a6', 'pc2'] },
    value: 1_000,
    tolerance: 0.01,
    subject: 'into the converter',
    choose: 'any',
  },
  {
    kind: 'capacitor',
    pieces: { C3: ['pc0', '0'], C4: ['pc1', '0'], C5: ['pc2', '0'] },
    value: 1e-9,
    tolerance: 0.1,
    subject: "at the converter's pins",
    choose: 'C0G',
  },
  {
    kind: 'resistor',
    pieces: { R15: ['dither', 'pc0'], R16: ['dither', 'pc1'], R17: ['dither', 'pc2'] },
    value: 976_000,
    tolerance: 0.01,
    subject: 'dither into each channel',
    choose: 'any',
  },
  {
    kind: 'resistor',
    pieces: { R18: ['pc3', 'rung3'], R19: ['pc4', 'rung4'], R20: ['pc5', 'dither'], R21: ['rung3', '0'] },
    value: 20_000,
    tolerance: 0.01,
    subject: 'dither ladder, 2R',
    choose: 'from one lot with R22 and R23',
  },
  {
    kind: 'resistor',
    pieces: { R22: ['rung3', 'rung4'], R23: ['rung4', 'dither'] },
    value: 10_000,
    tolerance: 0.01,
    subject: 'dither ladder, R',
    choose: 'from one lot with R18 to R21',
  },
  {
    kind: 'resistor',
    pieces: { R34: [] },
    value: 49_900,
    tolerance: 0.001,
    subject: 'dummy source of the self-test: from either supply line to P',
    choose: 'any; between two clips',
  },
  {
    kind: 'resistor',
    pieces: { R35: [], R36: [] },
    value: 100,
    tolerance: 0.01,
    subject: 'dummy source: from + supply to the driver terminal, and from A to ground',
    choose: '0.25 W or more; between two clips',
  },
  {
    kind: 'capacitor',
    pieces: unwired('C', 7, 4),
    value: 100e-9,
    tolerance: 0.2,
    subject: 'one from supply to ground at each package of amplifiers and at the board',
    choose: 'ceramic, with short leads',
  },
  {
    kind: 'capacitor',
    pieces: { C11: [] },
    value: 10e-6,
    tolerance: 0.2,
    subject: 'from supply to ground where the supply enters',
    choose: 'ceramic or tantalum, 10 V or more',
  },
  {
    kind: 'fuse',
    pieces: { F1: [] },
    value: null,
    tolerance: null,
    subject: "at the driver cell's + terminal, before anything else",
    choose: '500 mA, quick; in a holder',
  },
  {
    kind: 'module',
    pieces: { U1: [] },
    value: null,
    tolerance: null,
    subject: 'between computer and board: isolates data and supply',
    choose: 'USB isolator with its own 5 V of 100 mA or more',
  },
  {
    kind: 'switch',
    pieces: unwired('S', 1, 6),
    value: null,
    tolerance: null,
    subject:
      "contact in the jockey's handle, mark button, second poles of the two-way key (two), of the protective resistance's key and of the load key",
    choose: 'dry contacts, gold-plated if to be had: they switch 0.1 mA',
  },
  {
    kind: 'switch',
    pieces: unwired('S', 7, ROWS),
    value: null,
    tolerance: null,
    subject: 'reed switches, one over each row',
    choose: 'normally open; a magnet on the jockey closes one at a time',
  },
  {
    kind: 'diode',
    pieces: unwired('D', 3, rowDiodes(ROWS)),
    value: null,
    tolerance: null,
    subject: "from a row's switch to each line whose bit is 1 in the row's number",
    choose: 'silicon signal diodes',
  },
  {
    kind: 'connector',
    pieces: unwired('J', 1, 3),
    value: null,
    tolerance: null,
    subject:
      'A, joined + terminals (P), driver, + supply and ground for the dummy source (J1); sensor (J2); switches and row lines (J3)',
    choose: 'screw terminals for J1: plugs of one metal keep thermal EMFs low',
  },
];

const PIECES = new Map(
  PART_GROUPS.flatMap((group) => Object.keys(group.pieces).map((name) => [name, group] as const)),
);

function groupOf(name: string): PartGroup {
  const group = PIECES.get(name);
  if (group === undefined) throw new Error(`there is no part ${name}`);
  return group;
}

/** Ohms or farads. @throws Error where there is no such part, or it has no value. */
export function nominal(name: string): number {
  const { value } = groupOf(name);
  if (value === null) throw new Error(`${name} has no value`);
  return value;
}

/** Relative. @throws Error where there is no such part, or its tolerance does not matter. */
export function toleranceOf(name: string): number {
  const { tolerance } = groupOf(name);
  if (tolerance === null) throw new Error(`${name} has no tolerance`);
  return tolerance;
}
