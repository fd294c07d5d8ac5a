import {
  BOTTOM_COUNT,
  CONVERTER,
  GAL_SPAN_UA,
  GAL_UA_PER_COUNT,
  PARTS,
  TOP_COUNT,
} from '../../bridge/emulate/hardware.ts';
import { type FrontEndCase, type FrontEndState, sweepFrontEnds } from './netlist.ts';

/** The front end swept in ngspice at the corners of its tolerances: every cell, either way round, every supply. */

const EMFS_V = [0.5, 1.02, 1.54, 2.2];
const SUPPLIES_V = [4.6, 5, 5.25];
const PROTECTIVE_OHM = [0, 4700];
const BATCH = 6;
export const SWEEP = { mostUa: 180, stepUa: 10 };

/** One that is as the list says, and those in which every part errs by its whole tolerance. */
interface Corner {
  number: number;
  error: FrontEndCase['error'];
  amplifier: FrontEndCase['amplifier'];
}

const WORST_FOR_REJECTION: Record<string, number> = { R7: 1, R8: -1, R9: -1, R10: 1 };

/** +1 or −1, by name and corner, the same on every machine. */
function signOf(name: string, corner: number): number {
  const worst = WORST_FOR_REJECTION[name];
  if (worst !== undefined && corner <= 2) return corner === 1 ? worst : -worst;
  const mixed = [...name].reduce((sum, letter) => sum * 31 + letter.charCodeAt(0), corner * 7919);
  return (Math.imul(mixed, 2_654_435_761) >>> 16) % 2 === 0 ? 1 : -1;
}

const cornerOf = (number: number): Corner => ({
  number,
  error: (name, tolerance) => (number === 0 ? 0 : signOf(name, number) * tolerance),
  amplifier: (name) => ({
    offsetV: number === 0 ? 0 : signOf(name, number + 1) * PARTS.offsetV,
    commonModeGain: number === 0 ? 0 : signOf(name, number + 2) / PARTS.commonModeRejection,
  }),
});

/** The parts as listed, at the supply as listed, protective resistance out. */
export const nominalCase = (emfV: number, shunt: FrontEndCase['shunt']): FrontEndCase => ({
  ...{ emfV, shunt, protectiveOhm: 0, supplyV: PARTS.supplyV },
  ...cornerOf(0),
});

interface Swept extends Omit<FrontEndCase, 'error' | 'amplifier'> {
  corner: number;
  states: FrontEndState[];
}

/** @param corners by number: 0 for the nominal parts, 1 and 2 the worst for the rejection of the difference stage, others at random */
export function sweepCorners(shunt: FrontEndCase['shunt'], corners: readonly number[]): Swept[] {
  const cases = corners.map(cornerOf).flatMap(({ number, error, amplifier }) =>
    SUPPLIES_V.flatMap((supplyV) =>
      EMFS_V.flatMap((size) =>
        [size, -size].flatMap((emfV) =>
          PROTECTIVE_OHM.map((protectiveOhm) => ({
            corner: number,
            ...{ supplyV, emfV, protectiveOhm, shunt, error, amplifier },
          })),
        ),
      ),
    ),
  );
  const swept = batches(cases).flatMap((batch) => sweepFrontEnds(batch, SWEEP));
  return cases.map(({ error: _, amplifier: __, ...one }, index) => ({ ...one, states: swept[index] }));
}

/** All at once ngspice takes minutes to settle. */
const batches = <T>(all: readonly T[]): T[][] =>
  Array.from({ length: Math.ceil(all.length / BATCH) }, (_, batch) =>
    all.slice(batch * BATCH, (batch + 1) * BATCH),
  );

const countOf = (supplyV: number, { pc0V }: FrontEndState): number =>
  (pc0V / supplyV) * CONVERTER.steps * CONVERTER.countsPerStep;

const isInSpan = (count: number): boolean => count > BOTTOM_COUNT && count < TOP_COUNT;

/** Counts at the two ends of a sweep at the listed supply: of an amplifier that stands still there, what it freezes at. */
export const countsAtEnds = (states: readonly FrontEndState[]): [number, number] => [
  countOf(PARTS.supplyV, states[0]),
  countOf(PARTS.supplyV, states[states.length - 1]),
];

/** Microamperes that so many counts stand for; the converter's reference is the supply. */
const uaOf = (supplyV: number, counts: number): number =>
  counts * GAL_UA_PER_COUNT * (supplyV / PARTS.supplyV);

/** How far the first stage is from its rails at worst, where a sample passes for a reading; in volts. */
export const leastFirstStageMarginV = (swept: readonly Swept[]): number =>
  Math.min(
    ...swept.flatMap(({ supplyV, states }) =>
      states
        .filter((state) => isInSpan(countOf(supplyV, state)))
        .flatMap(({ a1V, a2V }) => [a1V, a2V])
        .flatMap((volts) => [volts - PARTS.outputSwingV, supplyV - PARTS.outputSwingV - volts]),
    ),
  );

/** Largest error of the current that a sample inside the span stands for, its zero taken; relative to the span's end. */
export const worstScaleError = (swept: readonly Swept[]): number =>
  Math.max(
    ...swept.flatMap(({ supplyV, states }) => {
      const zero = countOf(supplyV, atNought(states));
      return states
        .map((state) => ({ ua: state.currentUa, count: countOf(supplyV, state) }))
        .filter(({ count }) => isInSpan(count))
        .map(({ ua, count }) => Math.abs(uaOf(supplyV, count - zero) - ua) / GAL_SPAN_UA);
    }),
  );

const atNought = (states: readonly FrontEndState[]): FrontEndState => states[(states.length - 1) / 2];

/** How far the zeros of two cells at one front end lie apart at worst, in microamperes. */
export function worstZeroShiftUa(swept: readonly Swept[]): number {
  const zeros = new Map<string, number[]>();
  for (const { corner, supplyV, states } of swept) {
    const key = `${corner} ${supplyV}`;
    const zeroUa = uaOf(supplyV, countOf(supplyV, atNought(states)));
    zeros.set(key, [...(zeros.get(key) ?? []), zeroUa]);
  }
  return Math.max(...[...zeros.values()].map((values) => Math.max(...values) - Math.min(...values)));
}
