import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PARTS } from '../../bridge/emulate/hardware.ts';
import { PART_GROUPS, type PartKind, toleranceOf } from '../../bridge/emulate/parts.ts';
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
const shuntEnds = ({ shunt }: FrontEndCase): [string, string] =>
  shunt === 'at A' ? ['cells', 'A'] : ['beyond', 'minus'];

function partLines(given: FrontEndCase, number: number): string[] {
  const node = (name: string): string =>
    name === '0' ? '0' : `${name.replace('+', 'p').replace('-', 'n')}_${number}`;
  const [cells, A] = shuntEnds(given);
  const moved: Record<string, string> = { cells, A };
  const netOf = (part: string, net: string): string =>
    (AT_SHUNT.includes(part) ? moved[net] : undefined) ?? net;
  const valued = (letter: string) => (name: string, nets: readonly string[], value: number) => [
    `${letter}${name}_${number} ${node(netOf(name, nets[0]))} ${node(netOf(name, nets[1]))} ${value}`,
  ];
  const drawings: Partial<
    Record<PartKind, (name: string, nets: readonly string[], value: number) => string[]>
  > = {
    resistor: valued('r'),
    capacitor: valued('c'),
    diode: (name, nets) => [
      `d${name}_${number} ${node(netOf(name, nets[0]))} ${node(netOf(name, nets[1]))} signal`,
    ],
    potentiometer: (name, [low, high, wiper], value) => [
      `r${name}l_${number} ${node(low)} ${node(wiper)} ${value * POSITION}`,
      `r${name}h_${number} ${node(wiper)} ${node(high)} ${value * (1 - POSITION)}`,
    ],
    amplifier: (name, [plus, minus, out]) => {
      const { offsetV, commonModeGain } = given.amplifier(name);
      const half = given.supplyV / 2;
      const swing = half - PARTS.outputSwingV;
      const [over, inner] = [node(plus), node(`${name}in`)];
      return [
        `b${name}o_${number} ${inner} ${over} V=(${offsetV})+(${commonModeGain})*(V(${over})-${half})`,
        `b${name}_${number} ${node(out)} 0 V=${half}+min(${swing},max(${-swing},${OPEN_LOOP_GAIN}*(V(${inner})-V(${node(minus)}))))`,
        // Where ngspice begins to look: no amplifier at its rails.
        ...[over, inner, node(minus), node(out)].map((net) => `.nodeset v(${net})=${half}`),
      ];
    },
  };
  return PART_GROUPS.flatMap((group) =>
    Object.entries(group.pieces).flatMap(([name, nets]) =>
      nets.length === 0
        ? []
        : (drawings[group.kind]?.(
            name,
            nets,
            (group.value ?? 0) * (1 + given.error(name, group.tolerance ?? 0)),
          ) ?? []),
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

const numbersIn = (path: string): number[][] =>
  readFileSync(path, 'utf8')
    .trim()
    .split('\n')
    .map((line) => line.trim().split(/\s+/).map(Number));
