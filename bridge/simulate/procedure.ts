import { lengthFromA, placeOnWire, scaleSense } from '../bench/geometry.ts';
import { type Bracket, bracketNear, closeIn, opposite } from './hunt.ts';
import type { Mind, Sight } from './steps.ts';
import {
  glideTo,
  goTo,
  lift,
  press,
  reachable,
  type Skill,
  type Student,
  tapped,
  turn,
  wait,
} from './student.ts';

/** What a student does in a run, in which order, and by which habits. */
export interface Plan {
  kind: 'emf-comparison' | 'internal-resistance';
  /** Rheostat settings in ohm, one for each set. */
  rheostatOhm: readonly number[];
  /** Cells in the order in which they are balanced within a set, such as [1, 2] or [1, 2, 2, 1]. */
  order: readonly (1 | 2)[];
  /** How the fine null is taken. */
  fine: 'sweeps' | 'taps' | 'both';
  /** Passes of a fine sweep, to and fro. */
  passes: number;
  /** Fine taps of one null, half on either side. */
  taps: number;
  sweepHalfCm: number;
  sweepSpeedCmPerS: number;
  /** Time to write a balancing length into the book. */
  writeDownS: number;
  /** The driver key is opened while the rheostat is turned. */
  openKeyBetweenSets: boolean;
  /** Tells the recording which set follows. */
  saysSets: boolean;
  /** Reads the ammeter aloud at every set. */
  saysAmmeter: boolean;
  /** Reads the metre scale aloud at every fine null (a board without a position sensor needs it). */
  saysLengths: boolean;
  /** Load across the cell in ohm, and its standard uncertainty, for internal-resistance work. */
  load: { ohm: number; uOhm: number };
}

/** What the student remembers: where each cell balanced, at which ammeter reading. */
type Memory = Map<string, { lengthCm: number; ammeterMa: number }>;

interface Work {
  student: Student;
  plan: Plan;
  memory: Memory;
  set: number;
  /** Sign of the deflection on the side of A: which way the needle says the null lies. */
  signAtA: number;
}

/** Deflection, protective resistance in, at which hunting ends. */
const COARSE_UA = 0.8;
const COARSE_CM = 2;

/** The whole run. */
export function* work(student: Student, plan: Plan): Mind {
  const job: Work = { student, plan, memory: new Map(), set: 1, signAtA: 1 };
  yield* wait(student, 1);
  if (plan.kind === 'internal-resistance')
    yield { do: 'say', event: { kind: 'load', in: false, ...plan.load } };
  for (const [index, rheostatOhm] of plan.rheostatOhm.entries()) {
    job.set = index + 1;
    yield* beginSet(job, rheostatOhm);
    if (plan.kind === 'internal-resistance') yield* bothLoads(job);
    else for (const cell of plan.order) yield* balance(job, cell, false);
  }
  yield* turn(student, { keyClosed: false }, 0.6);
  yield* wait(student, 1);
}

function* beginSet(job: Work, rheostatOhm: number): Skill<void> {
  const { student, plan, set } = job;
  if (plan.openKeyBetweenSets || set === 1) yield* turn(student, { keyClosed: false }, 0.5);
  yield* turn(student, { rheostatOhm }, set === 1 ? 0.2 : 1.2);
  if (plan.saysSets) yield { do: 'say', event: { kind: 'set', set } };
  yield* turn(student, { keyClosed: true }, 0.5);
  const seen = yield* wait(student, 2.5);
  if (plan.saysAmmeter) yield { do: 'say', event: { kind: 'ammeter', readingMa: seen.ammeterMa } };
}

function* bothLoads(job: Work): Skill<void> {
  const cell = job.plan.order[0];
  yield* balance(job, cell, false);
  yield* turn(job.student, { load: true }, 0.6);
  yield* balance(job, cell, true);
  yield* turn(job.student, { load: false }, 0.6);
}

/** One cell: put in circuit, hunted with the protective resistance in, then found finely with it out. */
function* balance(job: Work, cell: 1 | 2, load: boolean): Skill<void> {
  const { student, memory } = job;
  const seen = yield* turn(student, { cell, protect: true }, 0.6);
  const name = `${cell}${load ? ' loaded' : ''}`;
  const bracket = yield* bracketFor(job, memory.get(name), seen);
  const coarseCm = bracket === null ? null : yield* closeIn(student, bracket, COARSE_UA, COARSE_CM);
  if (bracket === null || coarseCm === null) return yield* lookAround(student);
  job.signAtA = Math.sign(bracket.low.deflectionUa);
  yield* turn(student, { protect: false }, 0.6);
  const lengthCm = yield* fineNull(job, coarseCm);
  memory.set(name, { lengthCm, ammeterMa: seen.ammeterMa });
  if (job.plan.saysLengths) yield* readScale(job, cell, lengthCm);
  yield* turn(student, { protect: true }, 0.6);
  yield* wait(student, job.plan.writeDownS);
}

/** Both ends the first time; later the null is expected where the ammeter says (lengths go as 1/I). */
function* bracketFor(
  job: Work,
  known: { lengthCm: number; ammeterMa: number } | undefined,
  seen: Sight,
): Skill<Bracket | null> {
  const { student } = job;
  if (known === undefined || seen.ammeterMa === 0) {
    const low = yield* tapped(student, 0);
    const high = yield* tapped(student, student.wire.rows * student.wire.rowLengthCm);
    return opposite(low, high) ? { low, high } : null;
  }
  const guessCm = (known.lengthCm * known.ammeterMa) / seen.ammeterMa;
  return yield* bracketNear(student, guessCm, 12);
}

/** Nothing to be found: a few taps along the wire to see how the deflection goes, then the cell is given up. */
function* lookAround(student: Student): Skill<void> {
  const lastCm = student.wire.rows * student.wire.rowLengthCm;
  for (const share of [0.25, 0.5, 0.75]) yield* tapped(student, share * lastCm);
}

function* fineNull(job: Work, coarseCm: number): Skill<number> {
  let lengthCm = coarseCm;
  if (job.plan.fine !== 'taps') lengthCm = yield* sweepAcross(job, coarseCm);
  if (job.plan.fine !== 'sweeps') lengthCm = yield* tapAround(job, lengthCm);
  return lengthCm;
}

/** Ends of a sweep about a place, kept on its row. */
function sweepEnds(job: Work, centreCm: number): [number, number] {
  const { wire } = job.student;
  const place = reachable(wire, centreCm);
  const half = job.plan.sweepHalfCm;
  const clamp = (scaleCm: number) => Math.max(0.4, Math.min(wire.rowLengthCm - 0.4, scaleCm));
  const ends: [number, number] = [clamp(place.scaleCm - half), clamp(place.scaleCm + half)];
  return scaleSense(wire, place.row) === 1 ? ends : [ends[1], ends[0]];
}

const RECENTRES = 5;

/** Slides across the null, to and fro; a pass that saw one sign only moves the next one on. */
function* sweepAcross(job: Work, coarseCm: number): Skill<number> {
  const { student, plan } = job;
  let centreCm = coarseCm;
  for (let attempt = 0; attempt < RECENTRES; attempt += 1) {
    const row = placeOnWire(student.wire, centreCm).row;
    const [startCm, endCm] = sweepEnds(job, centreCm);
    yield* goTo(student, { row, scaleCm: startCm });
    const first = yield* press(student);
    const last = yield* glideTo(student, endCm, plan.sweepSpeedCmPerS);
    if (first * last < 0) {
      yield* furtherPasses(job, startCm, endCm);
      yield* lift(student);
      const share = Math.max(0, Math.min(1, first / (first - last)));
      return lengthFromA(student.wire, row, startCm + share * (endCm - startCm));
    }
    yield* lift(student);
    centreCm += Math.sign(last) * job.signAtA * 1.6 * plan.sweepHalfCm;
  }
  return centreCm;
}

function* furtherPasses(job: Work, startCm: number, endCm: number): Skill<void> {
  const { student, plan } = job;
  for (let pass = 2; pass <= plan.passes; pass += 1) {
    yield* wait(student, 0.3);
    // Nobody slides twice at one speed, and passes of two speeds tell lag from backlash.
    const speed = plan.sweepSpeedCmPerS * (0.7 + 0.6 * student.random.uniform());
    yield* glideTo(student, pass % 2 === 0 ? startCm : endCm, speed);
  }
  yield* wait(student, 0.2);
}

/** Offsets of fine taps from the null in cm: pairs either side, none on it. */
const TAP_OFFSETS_CM = [0.9, 0.6, 0.35, 0.75, 0.5, 0.25];

/** Closes in by fine taps, then taps either side of the null in turn. */
function* tapAround(job: Work, coarseCm: number): Skill<number> {
  const { student, plan } = job;
  const bracket = yield* bracketNear(student, coarseCm, 1.5);
  if (bracket === null) return coarseCm;
  const foundCm = (yield* closeIn(student, bracket, student.eyeUa, 0.1)) ?? coarseCm;
  for (let tap = 0; tap < plan.taps; tap += 1) {
    const offsetCm = TAP_OFFSETS_CM[(tap >> 1) % TAP_OFFSETS_CM.length] * (tap % 2 === 0 ? -1 : 1);
    yield* tapped(student, foundCm + offsetCm);
  }
  return foundCm;
}

/** Goes back to the null and reads the metre scale, by eye to half a millimetre. */
function* readScale(job: Work, cell: 1 | 2, lengthCm: number): Skill<void> {
  const { student, set } = job;
  const place = reachable(student.wire, lengthCm);
  yield* goTo(student, place);
  const seen = yield* wait(student, 1.5);
  yield { do: 'say', event: { kind: 'length', cell, set, row: place.row, scaleCm: seen.scaleCm, uCm: 0.05 } };
}
