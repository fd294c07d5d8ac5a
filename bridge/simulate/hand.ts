import type { RunEvent } from '../run/events.ts';
import { createKnobs, type Knobs } from './knobs.ts';
import { PROFILES, tremor } from './motion.ts';
import { createNeedle, type Needle, type NeedleOptions } from './needle.ts';
import type { RandomStream } from './random.ts';
import type { Mind, Place, Sight, Step, Switches } from './steps.ts';

/** What the operator has to record because the board does not sense it. */
export type Unsensed = 'cell' | 'row' | 'protect' | 'load';

export interface HandOptions {
  start: Place;
  switches: Switches;
  /** RMS of the tremor in cm while the hand moves or hovers; a pressed jockey that is not moved rests on its edge and has none. */
  tremorCm: number;
  needle: NeedleOptions;
  ammeterLeastCountMa: number;
  /** Seconds between a press and the blade reaching the wire. */
  pressS: number;
  unsensed: readonly Unsensed[];
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
  switches: Readonly<Switches>;
  /** Events recorded since the call before. */
  events: RunEvent[];
  finished: boolean;
}

export interface Hand {
  /**
   * Carries the hand on to a time (never back). The currents are those that flowed up to then: they are
   * seen on needle and ammeter and nowhere else.
   */
  advance(tS: number, galvanometerUa: number, driverMa: number): Pose;
}

export const createHand = (mind: Mind, options: HandOptions, random: RandomStream): Hand =>
  new SteppingHand(mind, options, random);

const SCALE_DIVISION_CM = 0.05;

/** A hand comes to rest on the wire, and sets off again, within some hundredths of a second. */
const STEADYING_S = 0.05;

const roundTo = (value: number, unit: number): number => Math.round(value / unit) * unit;

const secondsOf = (step: Step, pressS: number): number => {
  if (step.do === 'record') return 0;
  return step.do === 'press' || step.do === 'lift' ? pressS : step.seconds;
};

class SteppingHand implements Hand {
  readonly #mind: Mind;
  readonly #options: HandOptions;
  readonly #needle: Needle;
  readonly #trembling: (tS: number) => number;
  readonly #knobs: Knobs;
  readonly #pose: Pose;
  /** Where the hand means the jockey to be, tremor aside, and where it was when the step began. */
  readonly #place: Place;
  #from: Place;
  #step: Step | null = null;
  #startS = 0;
  #endS = 0;
  /** Share of the tremor that gets through to the jockey. */
  #shaking = 1;
  #atS = 0;

  constructor(mind: Mind, options: HandOptions, random: RandomStream) {
    this.#mind = mind;
    this.#options = options;
    this.#needle = createNeedle(options.needle);
    this.#trembling = tremor(options.tremorCm, random);
    this.#knobs = createKnobs(options.switches, (is, was) => this.#recordChanges(is, was));
    this.#place = { ...options.start };
    this.#from = { ...options.start };
    const { switches } = this.#knobs;
    this.#pose = { ...options.start, pressed: false, pressedAtS: 0, switches, events: [], finished: false };
  }

  advance(tS: number, galvanometerUa: number, driverMa: number): Pose {
    const deflectionUa = this.#needle.follow(tS, galvanometerUa);
    const pose = this.#pose;
    pose.events.length = 0;
    if (this.#step === null) this.#recordSwitches();
    while (!pose.finished && tS >= this.#endS) this.#nextStep(deflectionUa, driverMa);
    this.#knobs.advance(tS);
    if (!pose.finished) this.#carryOut((tS - this.#startS) / (this.#endS - this.#startS));
    pose.row = this.#place.row;
    pose.scaleCm = this.#place.scaleCm + this.#tremble(tS);
    return pose;
  }

  /** Ends the present step, shows the mind what is seen, and begins the step that it asks for. */
  #nextStep(deflectionUa: number, driverMa: number): void {
    this.#knobs.advance(this.#endS);
    this.#carryOut(1);
    const next = this.#mind.next(this.#sight(deflectionUa, driverMa));
    if (next.done === true) this.#pose.finished = true;
    else this.#begin(next.value);
  }

  #begin(step: Step): void {
    this.#step = step;
    this.#startS = this.#endS;
    this.#endS += secondsOf(step, this.#options.pressS);
    this.#from = { ...this.#place };
    if (step.do === 'turn') this.#knobs.turn(step.switches, this.#startS, this.#endS);
    for (const { afterS, overS = 0, switches } of step.meanwhile ?? []) {
      this.#knobs.turn(switches, this.#startS + afterS, this.#startS + afterS + overS);
    }
  }

  /** Brings the step to the fraction of its time that has gone by. */
  #carryOut(fraction: number): void {
    const step = this.#step;
    if (step === null) return;
    if (step.do === 'move') this.#moveTo(step, fraction);
    else if (fraction < 1) return;
    else if (step.do === 'press' || step.do === 'lift') this.#setPressed(step.do === 'press');
    else if (step.do === 'record') this.#pose.events.push(step.event);
  }

  #moveTo(move: Step & { do: 'move' }, fraction: number): void {
    const way = PROFILES[move.profile](fraction);
    this.#place.scaleCm = this.#from.scaleCm + way * (move.to.scaleCm - this.#from.scaleCm);
    if (fraction < 0.5 || move.to.row === this.#place.row) return;
    this.#place.row = move.to.row;
    if (this.#isUnsensed('row')) this.#pose.events.push({ kind: 'row', row: move.to.row });
  }

  #setPressed(pressed: boolean): void {
    if (this.#pose.pressed === pressed) return;
    this.#pose.pressed = pressed;
    this.#pose.pressedAtS = this.#endS;
  }

  #sight(deflectionUa: number, driverMa: number): Sight {
    const ammeterMa = roundTo(driverMa, this.#options.ammeterLeastCountMa);
    return { deflectionUa, ammeterMa, scaleCm: roundTo(this.#place.scaleCm, SCALE_DIVISION_CM) };
  }

  #tremble(tS: number): number {
    const target = this.#pose.pressed && this.#step?.do !== 'move' ? 0 : 1;
    this.#shaking += (target - this.#shaking) * (1 - Math.exp(-(tS - this.#atS) / STEADYING_S));
    this.#atS = tS;
    return this.#shaking * this.#trembling(tS);
  }

  #isUnsensed(what: Unsensed): boolean {
    return this.#options.unsensed.includes(what);
  }

  /** Before anything else the operator states what the board cannot know. */
  #recordSwitches(): void {
    const { events, switches } = this.#pose;
    if (this.#isUnsensed('cell')) events.push({ kind: 'cell', cell: switches.cell });
    if (this.#isUnsensed('row')) events.push({ kind: 'row', row: this.#place.row });
    if (this.#isUnsensed('protect')) events.push({ kind: 'protect', in: switches.protect });
  }

  #recordChanges(is: Readonly<Switches>, was: Readonly<Switches>): void {
    const { events } = this.#pose;
    if (is.cell !== was.cell && this.#isUnsensed('cell')) events.push({ kind: 'cell', cell: is.cell });
    if (is.protect !== was.protect && this.#isUnsensed('protect'))
      events.push({ kind: 'protect', in: is.protect });
    if (is.load !== was.load && this.#isUnsensed('load')) {
      events.push({ kind: 'load', in: is.load, ...this.#options.load });
    }
  }
}
