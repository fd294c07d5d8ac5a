import type { RunEvent } from '../run/events.ts';
import { PROFILES, tremor } from './motion.ts';
import { createNeedle, type NeedleOptions } from './needle.ts';
import type { RandomStream } from './random.ts';
import type { Mind, Place, Sight, Step, Switches } from './steps.ts';

/** The words that the operator has to say because the board does not sense the thing. */
export type Word = 'cell' | 'row' | 'protect' | 'load';

export interface HandOptions {
  start: Place;
  switches: Switches;
  /** RMS of the tremor in cm while the hand moves or hovers; a pressed jockey that is not moved rests on its edge and has none. */
  tremorCm: number;
  needle: NeedleOptions;
  ammeterLeastCountMa: number;
  /** Seconds between a press and the blade reaching the wire. */
  pressS: number;
  words: readonly Word[];
  load: { ohm: number; uOhm: number };
}

/** The bench as the hand holds it at one time. One object, changed in place from call to call. */
export interface Pose {
  row: number;
  scaleCm: number;
  /** The blade is held down; whether it touches is the contact's affair. */
  pressed: boolean;
  /** When `pressed` last changed. */
  pressedAtS: number;
  switches: Switches;
  /** Events said since the call before. */
  said: RunEvent[];
  finished: boolean;
}

export interface Hand {
  /**
   * Carries the hand on to a time (never back). The currents are those that flowed up to then: they are
   * seen on needle and ammeter and nowhere else.
   */
  advance(tS: number, galvanometerUa: number, driverMa: number): Pose;
}

const SCALE_DIVISION_CM = 0.05;

/** A hand comes to rest on the wire, and sets off again, within some hundredths of a second. */
const STEADYING_S = 0.05;

const roundTo = (value: number, unit: number): number => Math.round(value / unit) * unit;

const secondsOf = (step: Step, options: HandOptions): number => {
  if (step.do === 'say') return 0;
  return step.do === 'press' || step.do === 'lift' ? options.pressS : step.seconds;
};

export function createHand(mind: Mind, options: HandOptions, random: RandomStream): Hand {
  const needle = createNeedle(options.needle);
  const trembling = tremor(options.tremorCm, random);
  const pose: Pose = {
    ...options.start,
    pressed: false,
    pressedAtS: 0,
    switches: { ...options.switches },
    said: [],
    finished: false,
  };
  const place: Place = { ...options.start };
  let step: Step | null = null;
  let startS = 0;
  let endS = 0;
  let from: { place: Place; switches: Switches } = { place: { ...place }, switches: { ...pose.switches } };
  let meanwhileDone = 0;
  /** Share of the tremor that gets through to the jockey. */
  let shaking = 1;
  let atS = 0;

  const say = (event: RunEvent): void => {
    pose.said.push(event);
  };
  const must = (word: Word): boolean => options.words.includes(word);

  function setRow(row: number): void {
    if (row === place.row) return;
    place.row = row;
    if (must('row')) say({ kind: 'row', row });
  }

  function setSwitches(change: Partial<Switches>): void {
    const was = { ...pose.switches };
    Object.assign(pose.switches, change);
    const is = pose.switches;
    if (is.cell !== was.cell && must('cell')) say({ kind: 'cell', cell: is.cell });
    if (is.protect !== was.protect && must('protect')) say({ kind: 'protect', in: is.protect });
    if (is.load !== was.load && must('load')) say({ kind: 'load', in: is.load, ...options.load });
  }

  /** Before anything else the operator states what the board cannot know. */
  function sayWhatStands(): void {
    if (must('cell')) say({ kind: 'cell', cell: pose.switches.cell });
    if (must('row')) say({ kind: 'row', row: place.row });
    if (must('protect')) say({ kind: 'protect', in: pose.switches.protect });
  }

  function setPressed(pressed: boolean, atS: number): void {
    if (pose.pressed === pressed) return;
    pose.pressed = pressed;
    pose.pressedAtS = atS;
  }

  /** Brings a step to the fraction of its time that has gone by. */
  function carryOut(current: Step, fraction: number): void {
    const did = current.meanwhile ?? [];
    const elapsedS = fraction * (endS - startS);
    while (meanwhileDone < did.length && did[meanwhileDone].afterS <= elapsedS) {
      setSwitches(did[meanwhileDone].switches);
      meanwhileDone += 1;
    }
    if (current.do === 'move') moveTo(current, fraction);
    else if (current.do === 'turn') turn(current.switches, fraction);
    else if (fraction < 1) return;
    else if (current.do === 'press' || current.do === 'lift') setPressed(current.do === 'press', endS);
    else if (current.do === 'say') say(current.event);
  }

  function moveTo(move: Step & { do: 'move' }, fraction: number): void {
    const way = PROFILES[move.profile](fraction);
    place.scaleCm = from.place.scaleCm + way * (move.to.scaleCm - from.place.scaleCm);
    if (fraction >= 0.5) setRow(move.to.row);
  }

  function turn(target: Partial<Switches>, fraction: number): void {
    const { rheostatOhm, leadOhm, ...keys } = target;
    const between = (start: number, end: number): number => start + fraction * (end - start);
    if (rheostatOhm !== undefined) {
      pose.switches.rheostatOhm = between(from.switches.rheostatOhm, rheostatOhm);
    }
    // Resistance of a failing connection runs over decades, so it grows by a constant factor in a given time.
    if (leadOhm !== undefined) {
      pose.switches.leadOhm = Math.exp(between(Math.log1p(from.switches.leadOhm), Math.log1p(leadOhm))) - 1;
    }
    if (fraction >= 0.5) setSwitches(keys);
  }

  function sight(deflectionUa: number, driverMa: number): Sight {
    return {
      deflectionUa,
      ammeterMa: roundTo(driverMa, options.ammeterLeastCountMa),
      scaleCm: roundTo(place.scaleCm, SCALE_DIVISION_CM),
    };
  }

  function begin(next: Step): void {
    step = next;
    startS = endS;
    endS += secondsOf(next, options);
    meanwhileDone = 0;
    from = { place: { ...place }, switches: { ...pose.switches } };
  }

  return {
    advance(tS, galvanometerUa, driverMa) {
      const deflectionUa = needle.follow(tS, galvanometerUa);
      pose.said.length = 0;
      if (step === null) sayWhatStands();
      while (!pose.finished && tS >= endS) {
        if (step !== null) carryOut(step, 1);
        const next = mind.next(sight(deflectionUa, driverMa));
        if (next.done === true) pose.finished = true;
        else begin(next.value);
      }
      if (step !== null && !pose.finished && tS < endS) carryOut(step, (tS - startS) / (endS - startS));
      pose.row = place.row;
      const rests = pose.pressed && step?.do !== 'move';
      shaking += ((rests ? 0 : 1) - shaking) * (1 - Math.exp(-(tS - atS) / STEADYING_S));
      pose.scaleCm = place.scaleCm + shaking * trembling(tS);
      atS = tS;
      return pose;
    },
  };
}
