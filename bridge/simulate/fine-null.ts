import { lengthFromA, placeOnWire, scaleSense } from '../bench/geometry.ts';
import { bracketNear, closeIn } from './hunt.ts';
import { glideTo, goTo, lift, press, reachable, type Skill, type Student, tapped, wait } from './student.ts';
import type { StudentTask } from './student-task.ts';

/** The fine null, protective resistance out, from a place where the coarse one was. */
export interface FineWork {
  student: Student;
  task: StudentTask;
  /** Sign of the deflection on the side of A: which way the needle says the null lies. */
  signAtA: number;
}

/** Finds the null finely, by the plan's habits; answers where the needle put it. */
export function* fineNull(job: FineWork, coarseCm: number): Skill<number> {
  let lengthCm = coarseCm;
  if (job.task.fine !== 'taps') lengthCm = yield* sweepAcross(job, coarseCm);
  if (job.task.fine !== 'sweeps') lengthCm = yield* tapAround(job, lengthCm);
  return lengthCm;
}

/** Ends of a sweep about a place, kept on its row. */
function sweepEnds(job: FineWork, centreCm: number): [number, number] {
  const { wire } = job.student;
  const place = reachable(wire, centreCm);
  const half = job.task.sweepHalfCm;
  const clamp = (scaleCm: number) => Math.max(0.4, Math.min(wire.rowLengthCm - 0.4, scaleCm));
  const ends: [number, number] = [clamp(place.scaleCm - half), clamp(place.scaleCm + half)];
  return scaleSense(wire, place.row) === 1 ? ends : [ends[1], ends[0]];
}

const RECENTRES = 5;

/** Slides across the null, to and fro; a pass that saw one sign only moves the next one on. */
function* sweepAcross(job: FineWork, coarseCm: number): Skill<number> {
  const { student, task } = job;
  let centreCm = coarseCm;
  for (let attempt = 0; attempt < RECENTRES; attempt += 1) {
    const row = placeOnWire(student.wire, centreCm).row;
    const [startCm, endCm] = sweepEnds(job, centreCm);
    yield* goTo(student, { row, scaleCm: startCm });
    const first = yield* press(student);
    const last = yield* glideTo(student, endCm, task.sweepSpeedCmPerS);
    if (first * last < 0) {
      yield* furtherPasses(job, startCm, endCm);
      yield* lift(student);
      const share = Math.max(0, Math.min(1, first / (first - last)));
      return lengthFromA(student.wire, row, startCm + share * (endCm - startCm));
    }
    yield* lift(student);
    centreCm += Math.sign(last) * job.signAtA * 1.6 * task.sweepHalfCm;
  }
  return centreCm;
}

function* furtherPasses(job: FineWork, startCm: number, endCm: number): Skill<void> {
  const { student, task } = job;
  for (let pass = 2; pass <= task.passes; pass += 1) {
    yield* wait(student, 0.3);
    // Nobody slides twice at one speed, and passes of two speeds tell lag from backlash.
    const speed = task.sweepSpeedCmPerS * (0.7 + 0.6 * student.random.uniform());
    yield* glideTo(student, pass % 2 === 0 ? startCm : endCm, speed);
  }
  yield* wait(student, 0.2);
}

/** Offsets of fine taps from the null in cm: pairs either side, none on it. */
const TAP_OFFSETS_CM = [0.9, 0.6, 0.35, 0.75, 0.5, 0.25];

/** Closes in by fine taps, then taps either side of the null in turn. */
function* tapAround(job: FineWork, coarseCm: number): Skill<number> {
  const { student, task } = job;
  const bracket = yield* bracketNear(student, coarseCm, 1.5);
  if (bracket === null) return coarseCm;
  const foundCm = (yield* closeIn(student, bracket, student.eyeUa, 0.1)) ?? coarseCm;
  for (let tap = 0; tap < task.taps; tap += 1) {
    const offsetCm = TAP_OFFSETS_CM[(tap >> 1) % TAP_OFFSETS_CM.length] * (tap % 2 === 0 ? -1 : 1);
    yield* tapped(student, foundCm + offsetCm);
  }
  return foundCm;
}
