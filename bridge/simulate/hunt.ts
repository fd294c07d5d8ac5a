import type { Skill, Student, Tapped } from './student.ts';
import { tapped } from './student.ts';

/** Closing in on the null by taps, as far as the needle can tell. */

export interface Bracket {
  low: Tapped;
  high: Tapped;
}

/** Whether the two deflections are seen, and opposite. */
export const opposite = (a: Tapped, b: Tapped): boolean => a.deflectionUa * b.deflectionUa < 0;

const onStop = (student: Student, tap: Tapped): boolean =>
  Math.abs(tap.deflectionUa) > 0.97 * student.fullScaleUa;

/** Where to tap next: by proportion where both deflections can be read, else halfway. */
function between(student: Student, { low, high }: Bracket): number {
  const spanCm = high.lengthCm - low.lengthCm;
  if (onStop(student, low) || onStop(student, high)) return low.lengthCm + spanCm / 2;
  const share = low.deflectionUa / (low.deflectionUa - high.deflectionUa);
  return low.lengthCm + spanCm * Math.max(0.08, Math.min(0.92, share));
}

const HUNT_TAPS = 16;

/**
 * Taps inside a bracket until the needle hardly moves or the bracket is narrow.
 * Answers where the null seems to be, or null where the needle jumps from stop to stop within the narrow
 * bracket (a parted wire does that).
 */
export function* closeIn(
  student: Student,
  start: Bracket,
  enoughUa: number,
  enoughCm: number,
): Skill<number | null> {
  let bracket = start;
  for (let count = 0; count < HUNT_TAPS; count += 1) {
    if (Math.abs(bracket.high.lengthCm - bracket.low.lengthCm) < enoughCm) break;
    const tap = yield* tapped(student, between(student, bracket));
    if (Math.abs(tap.deflectionUa) < enoughUa) return tap.lengthCm;
    bracket = opposite(bracket.low, tap) ? { low: bracket.low, high: tap } : { low: tap, high: bracket.high };
  }
  if (onStop(student, bracket.low) && onStop(student, bracket.high)) return null;
  return between(student, bracket);
}

/** Taps either side of where the null is expected, wider until the deflections are opposite; null where they never are. */
export function* bracketNear(student: Student, guessCm: number, halfCm: number): Skill<Bracket | null> {
  const lastCm = student.wire.rows * student.wire.rowLengthCm;
  for (let half = halfCm; half < lastCm; half *= 3) {
    const low = yield* tapped(student, Math.max(0, guessCm - half));
    const high = yield* tapped(student, Math.min(lastCm, guessCm + half));
    if (opposite(low, high)) return { low, high };
  }
  return null;
}
