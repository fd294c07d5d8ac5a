import type { Bench } from '../bench/bench-file.ts';
import { createAmplifier } from '../simulate/amplifier.ts';
import type { Physical } from '../simulate/live-bench.ts';
import { createPositionSensor } from '../simulate/position-sensor.ts';
import { randomStream } from '../simulate/random.ts';
import type { FrontEnd } from '../simulate/scene.ts';
import {
  DRIVER_VOLTS_PER_MA,
  FILTER_S,
  GAL_NOISE_UA,
  GAL_VOLTS_PER_UA,
  MID_RAIL_V,
  PARTS,
  VOLTS_PER_COUNT,
} from './hardware.ts';

/** How one built front end differs from its drawing, and what the room adds. */
export interface FrontEndOptions {
  seed: number;
  /** Offset of the galvanometer amplifier at its output, in volts, beside the mid-rail. */
  zeroOffsetV: number;
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

/** The front end of docs/hardware.md: galvanometer amplifier, position sensor, driver shunt. */
export function createFrontEnd(bench: Bench, options: FrontEndOptions): FrontEndModel {
  const stream = (name: string) => randomStream(options.seed, name);
  const voltsPerUa = GAL_VOLTS_PER_UA * (1 + options.gainError);
  const amplifier = createAmplifier(
    {
      zeroCounts: MID_RAIL_V + options.zeroOffsetV,
      driftCountsPerMin: 0,
      noiseUa: 0,
      // White noise behind a single pole is first-order noise with the pole's time constant.
      wander: { rmsUa: options.noiseUa, timeConstantS: FILTER_S },
      hum: options.hum,
      spikes: { share: 0, rmsUa: 0 },
      lagMs: FILTER_S * 1000,
    },
    // The amplifier counts in whatever its scale says: here volts.
    1 / voltsPerUa,
    { noise: stream('white'), wander: stream('noise'), hum: stream('hum'), spikes: stream('spikes') },
  );
  const sensor = createPositionSensor(bench, options.position, {
    noise: stream('position noise'),
    scaleError: stream('scale error'),
  });
  const volts: PinVoltages = { gal: MID_RAIL_V, pos: 0, drv: 0 };
  return {
    follow(tS, seen) {
      volts.gal = withinSwing(amplifier.read(tS, seen.galvanometerUa, seen.jumps));
      volts.pos = sensor.read(seen.scaleCm) * VOLTS_PER_COUNT;
      volts.drv = withinSwing(PARTS.driverPedestalV + seen.driverMa * DRIVER_VOLTS_PER_MA);
      return volts;
    },
  };
}
