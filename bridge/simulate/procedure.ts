import { BY_EYE_CM } from '../bench/by-eye.ts';
import { type FineWork, fineNull } from './fine-null.ts';
import { type Bracket, bracketNear, closeIn, opposite } from './hunt.ts';
import type { Mind, Sight } from './steps.ts';
import { goTo, reachable, type Skill, type Student, tapped, turn, wait } from './student.ts';
import type { StudentTask } from './student-task.ts';

/** What the student remembers: where each cell balanced, at which ammeter reading. */
type Memory = Map<string, { lengthCm: number; ammeterMa: number }>;

interface Work extends FineWork {
  memory: Memory;
  set: number;
}

/** Deflection, protective resistance in, at which hunting ends: so many times the smallest that is seen. */
const COARSE_TIMES = 2;
const COARSE_CM = 2;

/** The whole run. */
export function* work(student: Student, task: StudentTask): Mind {
  const job: Work = { student, task, memory: new Map(), set: 1, signAtA: 1 };
  yield* wait(student, 1);
  if (task.kind === 'internal-resistance')
    yield { do: 'record', event: { kind: 'load', in: false, ...task.load } };
  for (const [index, rheostatOhm] of task.rheostatOhm.entries()) {
    job.set = index + 1;
    yield* beginSet(job, rheostatOhm);
    if (task.kind === 'internal-resistance') yield* bothLoads(job);
    else for (const cell of task.order) yield* balance(job, cell, false);
  }
  yield* turn(student, { keyClosed: false }, 0.6);
  yield* wait(student, 1);
}

function* beginSet(job: Work, rheostatOhm: number): Skill<void> {
  const { student, task, set } = job;
  if (task.openKeyBetweenSets || set === 1) yield* turn(student, { keyClosed: false }, 0.5);
  yield* turn(student, { rheostatOhm }, set === 1 ? 0.2 : 1.2);
  if (task.recordsSets) yield { do: 'record', event: { kind: 'set', set } };
  yield* turn(student, { keyClosed: true }, 0.5);
  const seen = yield* wait(student, 2.5);
  if (task.recordsAmmeter) yield { do: 'record', event: { kind: 'ammeter', readingMa: seen.ammeterMa } };
}

function* bothLoads(job: Work): Skill<void> {
  const cell = job.task.order[0];
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
  const bracket = yield* bracketFor(job, memory.get(name) ?? foretold(job, cell), seen);
  const coarseCm =
    bracket === null ? null : yield* closeIn(student, bracket, COARSE_TIMES * student.eyeUa, COARSE_CM);
  if (bracket === null || coarseCm === null) return yield* lookAround(student);
  job.signAtA = Math.sign(bracket.low.deflectionUa);
  yield* turn(student, { protect: false }, 0.6);
  const lengthCm = yield* fineNull(job, coarseCm);
  memory.set(name, { lengthCm, ammeterMa: seen.ammeterMa });
  if (job.task.recordsLengths) yield* readScale(job, cell, lengthCm);
  yield* turn(student, { protect: true }, 0.6);
  yield* wait(student, job.task.writeDownS);
}

/** Where a reference cell must balance, by the other cell's null at the same driver current. */
function foretold({ task, memory }: Work, cell: 1 | 2) {
  const { referenceCell } = task;
  const other = memory.get(`${3 - cell}`);
  if (referenceCell?.cell !== cell || other === undefined) return undefined;
  return { ...other, lengthCm: other.lengthCm * referenceCell.emfToOther };
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

/** Goes back to the null and reads the metre scale, by eye to half a millimetre. */
function* readScale(job: Work, cell: 1 | 2, lengthCm: number): Skill<void> {
  const { student, set } = job;
  const place = reachable(student.wire, lengthCm);
  yield* goTo(student, place);
  const seen = yield* wait(student, 1.5);
  yield {
    do: 'record',
    event: { kind: 'length', cell, set, row: place.row, scaleCm: seen.scaleCm, uCm: BY_EYE_CM },
  };
}
