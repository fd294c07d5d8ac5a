import type { Bench } from '../bench/bench-file.ts';
import { createAmplifier } from '../simulate/amplifier.ts';
import type { Physical } from '../simulate/live-bench.ts';
import { createPositionSensor } from '../simulate/position-sensor.ts';
import { randomStream } from '../simulate/random.ts';
import type { FrontEnd } from '../simulate/scene.ts';
import {
  AMPLIFIER_VOLTS_PER_UA,
  DRIVER_VOLTS_PER_MA,
  DRIVER_ZERO_COUNTS,
  FILTER_S,
  FIRST_STAGE_S,
  GAL_NOISE_UA,
  MID_RAIL_V,
  PARTS,
  PIN_SHARE,
  VOLTS_PER_COUNT,
} from './hardware.ts';

/** How one built front end differs from its drawing, and what the room adds. */
export interface FrontEndOptions {
  seed: number;
  /** Offset of the galvanometer amplifier at its output, in volts, beside the mid-rail. */
  zeroOffsetV: number;
  /** Potential of end A, and with it of the shunt, above the board's ground: mid-rail, unless R28 is open or A is joined to something. */
  shuntAtV: number;
  /** Relative error of gain and shunt. */
  gainError: number;
  /** RMS noise of the amplifier as a current; the guide's own figure by default. */
  noiseUa: number;
  hum: { amplitudeUa: number; frequencyHz: number };
  position: FrontEnd['position'];
}

export const QUIET_FRONT_END: FrontEndOptions = {
  seed: 1,
  zeroOffsetV: 0,
  shuntAtV: MID_RAIL_V,
  gainError: 0,
  noiseUa: GAL_NOISE_UA,
  hum: { amplitudeUa: 0, frequencyHz: 50 },
  position: { noiseCm: 0, backlashCm: 0, scaleErrorCm: 0, scaleCorrelationCm: null },
};

/** What a front end sees of the bench. */
export type Seen = Pick<Physical, 'galvanometerUa' | 'driverMa' | 'scaleCm' | 'jumps'>;

/** Voltages that sensors and amplifiers put out, dither not added. */
export interface PinVoltages {
  gal: number;
  pos: number;
  drv: number;
}

export interface FrontEndModel {
  /**
   * Moves on to a time (never back), having seen every state of the bench on the way. One object, changed in place.
   */
  follow(tS: number, seen: Seen): PinVoltages;
}

const withinSwing = (volts: number): number =>
  Math.max(PARTS.outputSwingV, Math.min(PARTS.supplyV - PARTS.outputSwingV, volts));

const clamped = (value: number, most: number): number => Math.max(-most, Math.min(most, value));

/**
 * First stage of the galvanometer amplifier (A1, A2): the current, in microamperes, that its two outputs stand for. The diodes hold the
 * shunt's voltage, and what both inputs have in common comes through as far as it is not rejected.
 */
function firstStageUa(ua: number, shuntAtV: number): number {
  const { galShuntOhm, clampV, commonModeRejection } = PARTS;
  const shuntV = clamped(ua * 1e-6 * galShuntOhm, clampV) + (shuntAtV - MID_RAIL_V) / commonModeRejection;
  const higher = outputBeside(shuntAtV + shuntV / 2, shuntAtV - shuntV / 2);
  const lower = outputBeside(shuntAtV - shuntV / 2, shuntAtV + shuntV / 2);
  return (higher - lower) / AMPLIFIER_VOLTS_PER_UA;
}

/** Output of one amplifier of the first stage, from its own input and the other's; one at its rail takes the other along, over R6. */
function outputBeside(ownV: number, otherV: number): number {
  const { gainFeedbackOhm, gainSetOhm } = PARTS;
  const otherOutV = fedBack(otherV, ownV, gainSetOhm);
  const railV = withinSwing(otherOutV);
  return withinSwing(
    railV === otherOutV
      ? fedBack(ownV, otherV, gainSetOhm)
      : fedBack(ownV, railV, gainFeedbackOhm + gainSetOhm),
  );
}

/** What an amplifier puts out to hold its inverting input at its own, over a resistance to a point at `toV`. */
const fedBack = (ownV: number, toV: number, ohm: number): number =>
  ownV + ((ownV - toV) * PARTS.gainFeedbackOhm) / ohm;

/** The front end of docs/hardware.md: galvanometer amplifier, position sensor, driver shunt. */
export function createFrontEnd(bench: Bench, options: FrontEndOptions): FrontEndModel {
  const stream = (name: string) => randomStream(options.seed, name);
  const voltsPerUa = AMPLIFIER_VOLTS_PER_UA * (1 + options.gainError);
  const amplifier = createAmplifier(
    {
      zeroCounts: MID_RAIL_V + options.zeroOffsetV,
      driftCountsPerMin: 0,
      noiseUa: 0,
      // White noise behind a single pole is first-order noise with the pole's time constant.
      wander: { rmsUa: options.noiseUa, timeConstantS: FILTER_S },
      hum: options.hum,
      spikes: { share: 0, rmsUa: 0 },
      // Two poles far apart lag as one of their sum.
      lagMs: (FILTER_S + FIRST_STAGE_S) * 1000,
    },
    // The amplifier counts in whatever its scale says: here volts.
    1 / voltsPerUa,
    { noise: stream('white'), wander: stream('noise'), hum: stream('hum'), spikes: stream('spikes') },
  );
  const sensor = createPositionSensor(bench, options.position, {
    noise: stream('position noise'),
    scaleError: stream('scale error'),
  });
  const stage = (ua: number) => firstStageUa(ua, options.shuntAtV);
  const volts: PinVoltages = { gal: MID_RAIL_V, pos: 0, drv: 0 };
  return {
    follow(tS, seen) {
      const jumps = seen.jumps.map((jump) => ({
        ...jump,
        beforeUa: stage(jump.beforeUa),
        afterUa: stage(jump.afterUa),
      }));
      volts.gal = PIN_SHARE * withinSwing(amplifier.read(tS, stage(seen.galvanometerUa), jumps));
      volts.pos = sensor.read(seen.scaleCm) * VOLTS_PER_COUNT;
      volts.drv = withinSwing(DRIVER_ZERO_COUNTS * VOLTS_PER_COUNT + seen.driverMa * DRIVER_VOLTS_PER_MA);
      return volts;
    },
  };
}
