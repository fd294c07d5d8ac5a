import type { Bench } from '../bench/bench-file.ts';
import { wireLengthCm } from '../bench/geometry.ts';
import { statedEmfV } from '../bench/stated-emf.ts';

/**
 * How far a galvanometer must deflect where the jockey touches, whatever is wrong with voltmeter and ammeter: the voltage left over between
 * cell and wire over the resistance of the branch. A hundredth of it is none: noise, or a zero that moves in contact.
 */

/** What the stated EMF, the driver current and the wire's resistance may be off by together (common practice, no source). */
const METERS_SHARE = 0.15;

/** With what a cell is compared. */
export interface Driven {
  bench: Bench;
  cell: number;
  /** Driver current while touching: which way it flowed, if any. */
  driver: 'flowing' | 'none' | 'backward' | 'unknown';
  driverMa: number | null;
}

/** In microamperes; 0 where nothing tells how large a current must be. */
export function leastDueUa(lengthCm: number, protect: boolean, driven: Driven): number {
  const branchOhm = branchOf(driven.bench, protect);
  const emfV = statedEmfV(driven.bench, driven.cell);
  return branchOhm === null || emfV === undefined
    ? 0
    : (1e6 * leastLeftV(emfV, lengthCm, driven)) / branchOhm;
}

/** Of galvanometer and protective resistance, in ohm; the wire adds a quarter of its own at the most. */
function branchOf({ galvanometer, protectiveResistanceOhm, wire }: Bench, protect: boolean): number | null {
  if (protect && protectiveResistanceOhm === undefined) return null;
  return galvanometer.resistanceOhm + (protect ? (protectiveResistanceOhm ?? 0) : 0) + wire.resistanceOhm / 4;
}

/** The least that cell and wire may be apart at a place, in V. */
function leastLeftV(emfV: number, lengthCm: number, { bench, driver, driverMa }: Driven): number {
  const share = lengthCm / wireLengthCm(bench.wire);
  if (driver === 'none') return emfV;
  if (driver === 'unknown' || driverMa === null) {
    const mostV = bench.driver === undefined ? Number.POSITIVE_INFINITY : bench.driver.emfV * share;
    return Math.max(0, emfV - mostV);
  }
  const dropV = (driverMa / 1000) * bench.wire.resistanceOhm * share;
  return Math.max(0, Math.abs(emfV - dropV) - METERS_SHARE * Math.max(emfV, Math.abs(dropV)));
}
