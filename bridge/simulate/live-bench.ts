import { lengthFromA } from '../bench/geometry.ts';
import type { RunEvent } from '../run/events.ts';
import { type Circuit, type Currents, currentsAt, currentsLifted } from './circuit.ts';
import { createContact } from './contact.ts';
import { createHand, type HandOptions, type Pose, type Word } from './hand.ts';
import { work } from './procedure.ts';
import { randomStream } from './random.ts';
import type { Apparatus, Scene } from './scene.ts';
import { type Mind, type Switches, scripted } from './steps.ts';
import type { Student } from './student.ts';
import { type WireProfile, wireProfile } from './wire-profile.ts';

/** What is physically there at one moment: what sensors could feel, and nothing of converters. */
export interface Physical {
  tS: number;
  /** In the galvanometer, right now. */
  galvanometerUa: number;
  driverMa: number;
  /** True reading of the metre scale at the jockey. */
  scaleCm: number;
  row: number;
  /** Blade and wire touch. */
  contact: boolean;
  switches: Readonly<Switches>;
  /** Makes and breaks since the moment before: the current jumps from one value to another. Mostly empty. */
  jumps: readonly Jump[];
  /** What the operator said since the moment before. */
  said: readonly RunEvent[];
  /** The hand has done all it had to. */
  finished: boolean;
}

export interface Jump {
  atS: number;
  beforeUa: number;
  afterUa: number;
}

/** A bench with a hand at it, as a function of time. */
export interface LiveBench {
  /** Moves on to a time in seconds (never back). The answer is one object, changed in place at every call. */
  advance(tS: number): Physical;
}

/** The circuit of a scene, keys and knobs as given, at a time (the driver drifts). */
export function circuitOf(apparatus: Apparatus, wire: WireProfile, switches: Switches, tS: number): Circuit {
  const { driver, faults } = apparatus;
  return {
    wire,
    endAOhm: apparatus.endAOhm,
    endBOhm: apparatus.endBOhm,
    driver: {
      emfV: driver.emfV * (1 + (driver.driftPercentPerMin / 100) * (tS / 60)),
      resistanceOhm: driver.resistanceOhm,
    },
    rheostatOhm: switches.rheostatOhm,
    keyClosed: switches.keyClosed && !faults.keyDead,
    cell: switches.cell === 0 ? null : apparatus.cells[switches.cell],
    loadOhm: switches.load ? apparatus.loadOhm : null,
    seriesOhm: switches.leadOhm + (switches.protect ? apparatus.protectiveOhm : 0),
    galvanometerOhm: apparatus.galvanometerOhm,
    thermalEmfV: apparatus.thermalEmfUv * 1e-6,
    faults: {
      cellReversed: switches.cell !== 0 && faults.cellsReversed.includes(switches.cell),
      driverReversed: faults.driverReversed,
      galvanometerSwapped: faults.galvanometerSwapped,
      wireBrokenAtCm: faults.wireBrokenAtCm,
      branchOpen: faults.branchOpen,
    },
  };
}

export const profileOf = (scene: Pick<Scene, 'bench' | 'apparatus'>): WireProfile =>
  wireProfile({
    rows: scene.bench.wire.rows,
    rowLengthCm: scene.bench.wire.rowLengthCm,
    ...scene.apparatus.wire,
  });

/** Keys and knobs as they are when a run begins. */
export const restingSwitches = (scene: Scene): Switches => ({
  keyClosed: true,
  cell: 1,
  protect: true,
  load: false,
  rheostatOhm: scene.task.kind === 'script' ? 0 : scene.task.rheostatOhm[0],
  leadOhm: 0,
});

const wordsOf = ({ senses }: Scene['board']): Word[] => [
  ...(senses.cellKey ? [] : (['cell'] as const)),
  ...(senses.row ? [] : (['row'] as const)),
  ...(senses.protect ? [] : (['protect'] as const)),
  ...(senses.load ? [] : (['load'] as const)),
];

const loadOf = (scene: Scene) =>
  scene.task.kind === 'script' ? { ohm: scene.apparatus.loadOhm, uOhm: 0 } : scene.task.load;

const handOptions = (scene: Scene, start: { row: number; scaleCm: number }): HandOptions => ({
  start,
  switches: restingSwitches(scene),
  tremorCm: scene.hand.tremorCm,
  needle: scene.hand.needle,
  ammeterLeastCountMa: scene.bench.ammeter?.leastCountMa ?? 1,
  pressS: scene.hand.pressS,
  words: wordsOf(scene.board),
  load: loadOf(scene),
});

function mindOf(scene: Scene, start: { row: number; scaleCm: number }): Mind {
  if (scene.task.kind === 'script') return scripted(scene.task.steps);
  const student: Student = {
    wire: scene.bench.wire,
    random: randomStream(scene.seed, 'student'),
    carrySpeedCmPerS: scene.hand.carrySpeedCmPerS,
    tapHoldS: scene.hand.tapHoldS,
    eyeUa: scene.hand.eyeUa,
    fullScaleUa: scene.hand.needle.fullScaleUa,
    at: start,
  };
  return work(student, scene.task);
}

export function createLiveBench(scene: Scene): LiveBench {
  const start = { row: 1, scaleCm: scene.bench.wire.rowLengthCm / 2 };
  const hand = createHand(
    mindOf(scene, start),
    handOptions(scene, start),
    randomStream(scene.seed, 'tremor'),
  );
  const contact = createContact(scene.apparatus.contact, randomStream(scene.seed, 'contact'));
  const wire = profileOf(scene);
  const now = { ...nothingYet(scene), jumps: [] as Jump[] };

  function flowing(circuit: Circuit, pose: Pose, touches: boolean): Currents {
    if (!touches) return currentsLifted(circuit);
    return currentsAt(circuit, lengthFromA(scene.bench.wire, pose.row, pose.scaleCm));
  }

  return {
    advance(tS) {
      const pose = hand.advance(tS, now.galvanometerUa, now.driverMa);
      const circuit = circuitOf(scene.apparatus, wire, pose.switches, tS);
      now.jumps.length = 0;
      let beforeUa = now.galvanometerUa;
      contact.change(pose.pressed, pose.pressedAtS);
      const touches = contact.advance(tS, (nowTouches, atS) => {
        const afterUa = flowing(circuit, pose, nowTouches).galvanometerUa;
        now.jumps.push({ atS, beforeUa, afterUa });
        beforeUa = afterUa;
      });
      const currents = flowing(circuit, pose, touches);
      now.tS = tS;
      now.galvanometerUa = currents.galvanometerUa;
      now.driverMa = currents.driverMa;
      now.scaleCm = pose.scaleCm;
      now.row = pose.row;
      now.contact = touches;
      now.switches = pose.switches;
      now.said = pose.said;
      now.finished = pose.finished;
      return now;
    },
  };
}

const nothingYet = (scene: Scene): Physical => ({
  tS: 0,
  galvanometerUa: 0,
  driverMa: 0,
  scaleCm: 0,
  row: 1,
  contact: false,
  switches: restingSwitches(scene),
  jumps: [],
  said: [],
  finished: false,
});
