import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PARTS } from '../../bridge/emulate/hardware.ts';
import { PART_GROUPS, type PartGroup, type PartKind, toleranceOf } from '../../bridge/emulate/parts.ts';
import { inNgspice } from './in-ngspice.ts';

/** The front end as a netlist for ngspice (Debian package), drawn from the list of parts, with a bench around it. */

/** One front end at one bench. */
export interface FrontEndCase {
  /** Of the cell in circuit, in volts; negative where it is the wrong way round. */
  emfV: number;
  /** Protective resistance, in ohms. */
  protectiveOhm: number;
  supplyV: number;
  /** What a part is worth beside its nominal value, relative; offset and rejection of each amplifier, in volts and volts a volt. */
  error(name: string, tolerance: number): number;
  amplifier(name: string): { offsetV: number; commonModeGain: number };
  /** Where the shunt lies: at A, as drawn, or beyond the cell, where its potential goes with the cell's EMF. */
  shunt: 'at A' | 'beyond the cell';
}

/** One part gone wrong; an amplifier that is open puts out nothing, a shorted one is held at ground. */
export interface PartFault {
  part: string;
  kind: 'open' | 'short' | 'ten times';
}

/** What a netlist of the front end is drawn with: its parts, none of the bench around it. */
export type BuiltFrontEnd = Pick<FrontEndCase, 'supplyV' | 'error' | 'amplifier' | 'shunt'> & {
  fault?: PartFault;
  /** Where the wiper stands, 0 to 1. */
  positionShare?: number;
  /** How an amplifier comes to its rails: at a corner unless stated; ngspice settles with the one where it does not with the other. */
  limit?: 'corner' | 'bend';
};

const limited = (most: number, value: string, limit: BuiltFrontEnd['limit']): string =>
  limit === 'bend' ? `${most}*tanh((${value})/${most})` : `min(${most},max(${-most},${value}))`;

/** What comes out at one current, in volts above the board's ground. */
export interface FrontEndState {
  /** In the shunt, in microamperes. */
  currentUa: number;
  a1V: number;
  a2V: number;
  a3V: number;
  pc0V: number;
  pc2V: number;
}

/** Driver current of the bench around it, in amperes. */
export const BENCH_DRIVER_A = 0.11;
const COIL_OHM = 18;
const WIRE_OHM = 19.6;
const CELL_OHM = 0.5;
const THEVENIN_OHM = 5;
/** Small-signal silicon diode, typical values from memory: saturation current and emission coefficient. */
export const DIODE = { saturationA: 5e-9, emission: 1.8 };
const OPEN_LOOP_GAIN = 1e6;
const POSITION = 0.5;

/** Files that ngspice writes, and the sign of the currents in each. */
const ANSWERS = { 'up.txt': 1, 'down.txt': -1 };

/** Parts around the shunt, which lie between its two ends wherever it is put. */
const AT_SHUNT = ['R1', 'R2', 'R3', 'D1', 'D2'];

/** The nets at the shunt's ends, the one that the list calls `cells` first. */
const shuntEnds = ({ shunt }: Pick<FrontEndCase, 'shunt'>): [string, string] =>
  shunt === 'at A' ? ['cells', 'A'] : ['beyond', 'minus'];

const OPEN_OHM = 1e11;
/** Into each input of a zero-drift amplifier (typical, from memory): nothing over its resistors, all of it where these are open. */
const INPUT_BIAS_A = 1e-10;
const SHORT_OHM = 0.1;

const netName = (net: string, number: number): string =>
  net === '0' ? '0' : `${net.replace('+', 'p').replace('-', 'n')}_${number}`;

/** A part of two ends, as it is or gone wrong. */
function twoEnds(letter: 'r' | 'c' | 'd', fault: PartFault['kind'] | undefined) {
  return (name: string, [from, to]: readonly string[], value: number | string): string[] => {
    if (fault === 'short') return [`rs${name} ${from} ${to} ${SHORT_OHM}`];
    if (fault === 'open') return [`ro${name} ${from} ${to} ${OPEN_OHM}`];
    const size = fault === 'ten times' && typeof value === 'number' ? 10 * value : value;
    return [`${letter}${name} ${from} ${to} ${size}`];
  };
}

function potentiometerLines(
  name: string,
  [low, high, wiper]: readonly string[],
  value: number,
  share: number,
  fault: PartFault['kind'] | undefined,
): string[] {
  const whole = fault === 'ten times' ? 10 * value : fault === 'short' ? SHORT_OHM : value;
  // A track that is broken at its upper end.
  const upper = fault === 'open' ? OPEN_OHM : Math.max(SHORT_OHM, whole * (1 - share));
  return [
    `r${name}l ${low} ${wiper} ${Math.max(SHORT_OHM, whole * share)}`,
    `r${name}h ${high} ${wiper} ${upper}`,
  ];
}

function amplifierLines(
  given: BuiltFrontEnd,
  part: string,
  name: string,
  [plus, minus, out]: readonly string[],
  fault: PartFault['kind'] | undefined,
): string[] {
  const { offsetV, commonModeGain } = given.amplifier(part);
  const half = given.supplyV / 2;
  const swing = half - PARTS.outputSwingV;
  const inner = `${name}in`;
  const driven = fault === 'open' ? `${name}out` : out;
  const output =
    fault === 'short'
      ? [`v${name} ${out} 0 ${PARTS.outputSwingV}`]
      : [
          `b${name} ${driven} 0 V=${half}+${limited(swing, `${OPEN_LOOP_GAIN}*(V(${inner})-V(${minus}))`, given.limit)}`,
        ];
  return [
    `b${name}o ${inner} ${plus} V=(${offsetV})+(${commonModeGain})*(V(${plus})-${half})`,
    ...[plus, minus].map((net, index) => `i${name}${index} ${net} 0 ${INPUT_BIAS_A}`),
    ...output,
    ...(fault === 'open' ? [`r${name}out ${driven} ${out} ${OPEN_OHM}`] : []),
    // Where ngspice begins to look: no amplifier at its rails.
    ...[plus, inner, minus, out].map((net) => `.nodeset v(${net})=${half}`),
  ];
}

export function partLines(given: BuiltFrontEnd, number: number): string[] {
  const [cells, A] = shuntEnds(given);
  const moved: Record<string, string> = { cells, A };
  const { fault, positionShare = POSITION } = given;
  const linesOf = (group: PartGroup, part: string, nets: readonly string[]): string[] => {
    const ends = nets.map((net) =>
      netName((AT_SHUNT.includes(part) ? moved[net] : undefined) ?? net, number),
    );
    const kind = fault?.part === part ? fault.kind : undefined;
    const value = (group.value ?? 0) * (1 + given.error(part, group.tolerance ?? 0));
    const name = `${part}_${number}`;
    const drawings: Partial<Record<PartKind, () => string[]>> = {
      resistor: () => twoEnds('r', kind)(name, ends, value),
      capacitor: () => twoEnds('c', kind)(name, ends, value),
      diode: () => twoEnds('d', kind)(name, ends, 'signal'),
      potentiometer: () => potentiometerLines(name, ends, value, positionShare, kind),
      amplifier: () => amplifierLines(given, part, name, ends, kind),
    };
    return drawings[group.kind]?.() ?? [];
  };
  return PART_GROUPS.flatMap((group) =>
    Object.entries(group.pieces).flatMap(([part, nets]) =>
      nets.length === 0 ? [] : linesOf(group, part, nets),
    ),
  );
}

/** The bench: driver and wire, cell, protective resistance, coil, and the jockey where the wanted current flows. */
function benchLines({ emfV, protectiveOhm, supplyV, shunt }: FrontEndCase, number: number): string[] {
  const at = (name: string) => `${name}_${number}`;
  const branchOhm = PARTS.galShuntOhm + CELL_OHM + protectiveOhm + COIL_OHM + THEVENIN_OHM;
  const plus = shunt === 'at A' ? at('cells') : at('A');
  const behind = shunt === 'at A' ? at('minus') : at('beyond');
  return [
    `vsupply_${number} ${at('supply')} 0 ${supplyV}`,
    ...['pc3', 'pc4', 'pc5'].map((pin) => `v${pin}_${number} ${at(pin)} 0 0`),
    `iwire_${number} ${at('end')} ${at('driver')} ${BENCH_DRIVER_A}`,
    `rwire_${number} ${at('A')} ${at('end')} ${WIRE_OHM}`,
    `vcell_${number} ${plus} ${at('inside')} ${emfV}`,
    `rcell_${number} ${at('inside')} ${at('minus')} ${CELL_OHM}`,
    `rprotect_${number} ${behind} ${at('coil')} ${protectiveOhm + COIL_OHM}`,
    `rthevenin_${number} ${at('coil')} ${at('jockey')} ${THEVENIN_OHM}`,
    `bjockey_${number} ${at('A')} ${at('jockey')} V=(${emfV})-V(wanted)*${branchOhm}`,
  ];
}

/**
 * Sweeps the current through every front end given, in one run of ngspice; answers one list of states each.
 * @throws Error where ngspice is not installed (`apt-get install ngspice`) or does not settle.
 */
export function sweepFrontEnds(
  cases: readonly FrontEndCase[],
  { mostUa, stepUa }: { mostUa: number; stepUa: number },
): FrontEndState[][] {
  const nets = (one: FrontEndCase) => [...shuntEnds(one), 'a1', 'a2', 'a3', 'pc0', 'pc2'];
  const vectors = cases.flatMap((one, number) => nets(one).map((net) => `v(${net}_${number})`));
  const lines = [
    'front ends side by side',
    `.model signal D(IS=${DIODE.saturationA} N=${DIODE.emission})`,
    'vwanted wanted 0 0',
    ...cases.flatMap((one, number) => [...partLines(one, number), ...benchLines(one, number)]),
    '.control',
    'set wr_singlescale',
    'set numdgt=12',
    // From nought outwards: ngspice does not find a first state with amplifiers at their rails.
    ...Object.entries(ANSWERS).flatMap(([file, sign]) => [
      `dc vwanted 0 ${sign * mostUa}u ${sign * stepUa}u`,
      `wrdata ${file} ${vectors.join(' ')}`,
    ]),
    'quit 0',
    '.endc',
    '.end',
    '',
  ];
  const rows = inNgspice(lines, (_, folder) => {
    const [up, down] = Object.keys(ANSWERS).map((file) => numbersIn(join(folder, file)));
    return [...down.slice(1).reverse(), ...up];
  });
  return cases.map((one, number) =>
    rows.map((row) => {
      const per = nets(one).length;
      const [highV, lowV, a1V, a2V, a3V, pc0V, pc2V] = row.slice(1 + number * per, 1 + (number + 1) * per);
      const shuntOhm = PARTS.galShuntOhm * (1 + one.error('R1', toleranceOf('R1')));
      return { currentUa: (1e6 * (highV - lowV)) / shuntOhm, a1V, a2V, a3V, pc0V, pc2V };
    }),
  );
}

export const numbersIn = (path: string): number[][] =>
  readFileSync(path, 'utf8')
    .trim()
    .split('\n')
    .map((line) => line.trim().split(/\s+/).map(Number));
