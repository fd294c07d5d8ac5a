import type { Bench } from '../bench/bench-file.ts';
import type { Procedure } from '../run/procedure.ts';
import type { EmfSource } from './circuit.ts';
import type { NeedleOptions } from './needle.ts';
import type { Step, Switches } from './steps.ts';
import type { StudentTask } from './student-task.ts';
import type { WireSizes } from './wire-profile.ts';

/**
 * A scene: everything that makes a simulated run, as plain data. Defaults are in default-scene.ts. Docs:
 * docs/simulated-bench.md.
 */
export interface Scene {
  /** Any whole number. The same scene with the same seed gives the same bytes. */
  seed: number;
  /** The bench file that the recording states. What the bench really is stands under `apparatus` and may differ. */
  bench: Bench;
  about: { startedUtc: string; by: string[]; temperatureC: number };
  apparatus: Apparatus;
  frontEnd: FrontEnd;
  board: BoardOptions;
  hand: HandHabits;
  /** What the hand does: a student's procedure, or steps by name. */
  task: StudentTask | Script;
}

/** Steps by name, one after the other: what no student would do, or just one sweep. */
export interface Script {
  kind: 'script';
  procedure: Procedure;
  /** Keys and knobs at the start, where they are not the resting ones (rheostat at 0, protective resistance in, cell 1). */
  start?: Partial<Switches>;
  /** The hand records nothing of what the board does not sense: whoever gives the steps does. */
  silentOperator?: boolean;
  steps: Iterable<Step>;
}

/** The bench as it really is. */
export interface Apparatus {
  /** Drawn from these sizes by the seed. */
  wire: WireSizes;
  /** By how much the wire begins before the scale's zero on row 1; below 0 where it begins after it. */
  scaleZeroCm: number;
  /** Resistances between the terminals and the ends of the wire. */
  endAOhm: number;
  endBOhm: number;
  driver: EmfSource & { driftPercentPerMin: number };
  cells: { 1: Cell; 2: Cell };
  /** Load resistance across the cell for internal-resistance work. */
  loadOhm: number;
  protectiveOhm: number;
  galvanometerOhm: number;
  /** In the leads of each cell. */
  thermalEmfUv: { 1: number; 2: number };
  faults: SceneFaults;
  contact: ContactOptions;
}

/** A cell at the run's first moment, and how its EMF changes from then on. */
export interface Cell extends EmfSource {
  driftPercentPerMin: number;
}

export interface SceneFaults {
  /** Cells put in the wrong way round. */
  cellsReversed: readonly (1 | 2)[];
  driverReversed: boolean;
  galvanometerSwapped: boolean;
  wireBrokenAtCm: number | null;
  branchOpen: boolean;
  /** The driver key never makes contact, whatever the hand does. */
  keyDead: boolean;
}

/** How blade and wire touch. */
export interface ContactOptions {
  /** Mean number of interruptions at a press or a lift, and the time within which they happen, in ms. */
  bounces: number;
  bounceMs: number;
  /** Interruptions a second while the jockey is down (dirt on the wire), and how long one lasts in ms. */
  chatterPerS: number;
  chatterMs: number;
}

/** Galvanometer amplifier, position sensor and driver current sensor, up to their converters. */
export interface FrontEnd {
  galvanometer: {
    /** Zero in counts, which the bench file need not know, and its drift. */
    zeroCounts: number;
    driftCountsPerMin: number;
    noiseUa: number;
    /** Noise with a memory (first-order), beside the white one. */
    wander: { rmsUa: number; timeConstantS: number };
    hum: { amplitudeUa: number; frequencyHz: number };
    /** Share of samples hit by a spike, and the RMS of spikes. */
    spikes: { share: number; rmsUa: number };
    /** Time constant of the single-pole filter. */
    lagMs: number;
  };
  position: {
    noiseCm: number;
    /** The reading hangs back behind the motion: this much between the two directions. */
    backlashCm: number;
    /** RMS of the scale error, and how far along the scale errors go together; null takes the bench file's word. */
    scaleErrorCm: number | null;
    scaleCorrelationCm: number | null;
  };
  driver: { noiseMa: number };
}

/** Converter spans, clock, senses and line of the board. */
export interface BoardOptions {
  name: string;
  firmware: string;
  rateHz: number;
  channels: { gal: Span; pos: Span | null; drv: Span | null };
  senses: { contact: boolean; cellKey: boolean; protect: boolean; row: boolean; load: boolean };
  /** First sequence number and clock reading; anything but 0 means that the bridge was attached to a running board. */
  firstSeq: number;
  firstTUs: number;
  /** `H` and `C` come first; otherwise they come only when their 10 s are round. */
  helloFirst: boolean;
  /** RMS of the deviation of a sample from its moment, in microseconds. */
  jitterUs: number;
  /** Run times in s at which somebody presses the bench's button. */
  marksAtS: readonly number[];
  line: LineFaults;
}

/** Least and greatest count of a converter; counts at either end are saturated. */
export interface Span {
  min: number;
  max: number;
}

export interface LineFaults {
  /** Share of lines that never arrive, and that arrive damaged. */
  lostShare: number;
  damagedShare: number;
  /** Times at which the board cannot send, and how many samples it drops; it owns up to them afterwards. */
  overruns: readonly { atS: number; samples: number }[];
  /** Run time in s at which the board starts anew, silent for `rebootSilenceS`. */
  rebootsAtS: readonly number[];
  rebootSilenceS: number;
  /** Times between which the cable is out; the board goes on counting. */
  unplugged: readonly { fromS: number; toS: number }[];
}

export interface HandHabits {
  tremorCm: number;
  needle: NeedleOptions;
  carrySpeedCmPerS: number;
  tapHoldS: number;
  eyeUa: number;
  pressS: number;
}
