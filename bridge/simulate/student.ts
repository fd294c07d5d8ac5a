import { lengthFromA, placeOnWire } from '../bench/geometry.ts';
import type { RandomStream } from './random.ts';
import type { Place, Sight, Step, Switches } from './steps.ts';

/** How a student works at the wire: the small skills that a procedure is made of. */

export interface Wire {
  rows: number;
  rowLengthCm: number;
  zeroEnd: 'left' | 'right';
}

/** A part of a procedure, answering something to the part that asked for it. */
export type Skill<Answer> = Generator<Step, Answer, Sight>;

export interface Student {
  wire: Wire;
  random: RandomStream;
  /** Speed of a lifted jockey along the scale, in cm/s. */
  carrySpeedCmPerS: number;
  /** How long a tap is held before the needle is read, in s. */
  tapHoldS: number;
  /** Smallest deflection that the eye tells from none, in microamperes. */
  eyeUa: number;
  /** Deflection at which the needle is on its stop. */
  fullScaleUa: number;
  /** Where the jockey was last put; only `goTo` and `glideTo` change it. */
  at: Place;
}

/** People keep no exact time: a duration within about a tenth of what was meant. */
const about = (student: Student, seconds: number): number =>
  seconds * (1 + 0.1 * Math.max(-2.5, Math.min(2.5, student.random.normal())));

const ROW_EDGE_CM = 0.4;

/** The place of a length, kept a little off the ends of its row where the jockey's carriage stops. */
export function reachable(wire: Wire, lengthCm: number): Place {
  const place = placeOnWire(wire, Math.max(0, Math.min(wire.rows * wire.rowLengthCm, lengthCm)));
  const scaleCm = Math.max(ROW_EDGE_CM, Math.min(wire.rowLengthCm - ROW_EDGE_CM, place.scaleCm));
  return { row: place.row, scaleCm };
}

export const lengthOf = (student: Student, place: Place): number =>
  lengthFromA(student.wire, place.row, place.scaleCm);

export function* wait(student: Student, seconds: number): Skill<Sight> {
  return yield { do: 'wait', seconds: about(student, seconds) };
}

export function* turn(student: Student, switches: Partial<Switches>, seconds: number): Skill<Sight> {
  return yield { do: 'turn', switches, seconds: about(student, seconds) };
}

/** Carries the lifted jockey to a place. */
export function* goTo(student: Student, to: Place): Skill<void> {
  const distanceCm = Math.abs(to.scaleCm - student.at.scaleCm) + 5 * Math.abs(to.row - student.at.row);
  const seconds = about(student, 0.25 + distanceCm / student.carrySpeedCmPerS);
  student.at = to;
  yield { do: 'move', to, seconds, profile: 'smooth' };
}

/** Slides the pressed jockey along its row at a steady speed; answers the needle at the end. */
export function* glideTo(student: Student, scaleCm: number, speedCmPerS: number): Skill<number> {
  const to = { row: student.at.row, scaleCm };
  const seconds = about(student, Math.max(0.2, Math.abs(scaleCm - student.at.scaleCm) / speedCmPerS));
  student.at = to;
  const seen: Sight = yield { do: 'move', to, seconds, profile: 'steady' };
  return seen.deflectionUa;
}

export function* press(student: Student): Skill<number> {
  yield { do: 'press' };
  return (yield* wait(student, student.tapHoldS)).deflectionUa;
}

export function* lift(student: Student): Skill<void> {
  yield { do: 'lift' };
  yield* wait(student, 0.15);
}

/** Taps at a length: there, down, read, up. Answers the needle's deflection. */
export function* tapAt(student: Student, lengthCm: number): Skill<number> {
  yield* goTo(student, reachable(student.wire, lengthCm));
  const deflectionUa = yield* press(student);
  yield* lift(student);
  return deflectionUa;
}

/** A length and the needle's deflection there. */
export interface Tapped {
  lengthCm: number;
  deflectionUa: number;
}

export function* tapped(student: Student, lengthCm: number): Skill<Tapped> {
  const deflectionUa = yield* tapAt(student, lengthCm);
  return { lengthCm: lengthOf(student, student.at), deflectionUa };
}
