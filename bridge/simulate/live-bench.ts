import { lengthFromA } from '../bench/geometry.ts';
import type { RunEvent } from '../run/events.ts';
import { circuitOf, profileOf, restingSwitches } from './apparatus.ts';
import { type Currents, currentsAt, currentsLifted } from './circuit.ts';
import { createContact } from './contact.ts';
import { createHand, type HandOptions, type Pose, type Unsensed } from './hand.ts';
import { work } from './procedure.ts';
import { randomStream } from './random.ts';
import type { Scene } from './scene.ts';
import { type Mind, type Switches, scripted } from './steps.ts';
import type { Student } from './student.ts';

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
  /** What the operator recorded since the moment before. */
  events: readonly RunEvent[];
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

const unsensedIn = ({ task, board: { senses } }: Scene): Unsensed[] => {
  if (task.kind === 'script' && task.silentOperator === true) return [];
  return [
    ...(senses.cellKey ? [] : (['cell'] as const)),
    ...(senses.row ? [] : (['row'] as const)),
    ...(senses.protect ? [] : (['protect'] as const)),
    ...(senses.load ? [] : (['load'] as const)),
  ];
};

const loadOf = (scene: Scene) =>
  scene.task.kind === 'script' ? { ohm: scene.apparatus.loadOhm, uOhm: 0 } : scene.task.load;

const handOptions = (scene: Scene, start: { row: number; scaleCm: number }): HandOptions => ({
  start,
  switches: restingSwitches(scene),
  tremorCm: scene.hand.tremorCm,
  needle: scene.hand.needle,
  ammeterLeastCountMa: scene.bench.ammeter?.leastCountMa ?? 1,
  pressS: scene.hand.pressS,
  unsensed: unsensedIn(scene),
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
  const random = (name: string) => randomStream(scene.seed, name);
  const hand = createHand(mindOf(scene, start), handOptions(scene, start), random('tremor'));
  const contact = createContact(scene.apparatus.contact, random('contact'));
  const wire = profileOf(scene);
  const now = { ...nothingYet(scene), jumps: [] as Jump[] };
  return {
    advance(tS) {
      const pose = hand.advance(tS, now.galvanometerUa, now.driverMa);
      const circuit = circuitOf(scene.apparatus, wire, pose.switches, tS);
      const touching = currentsAt(circuit, lengthFromA(scene.bench.wire, pose.row, pose.scaleCm));
      const lifted = currentsLifted(circuit);
      contact.change(pose.pressed, pose.pressedAtS);
      now.jumps = noJumps;
      let beforeUa = now.galvanometerUa;
      const touches = contact.advance(tS, (makes, atS) => {
        const afterUa = (makes ? touching : lifted).galvanometerUa;
        now.jumps = [...now.jumps, { atS, beforeUa, afterUa }];
        beforeUa = afterUa;
      });
      return stands(now, tS, pose, touches, touches ? touching : lifted);
    },
  };
}

const noJumps: Jump[] = [];

/** Writes into `now` how things stand. */
function stands(now: Physical, tS: number, pose: Pose, contact: boolean, currents: Currents): Physical {
  now.tS = tS;
  now.galvanometerUa = currents.galvanometerUa;
  now.driverMa = currents.driverMa;
  now.scaleCm = pose.scaleCm;
  now.row = pose.row;
  now.contact = contact;
  now.switches = pose.switches;
  now.events = pose.events;
  now.finished = pose.finished;
  return now;
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
  events: [],
  finished: false,
});
