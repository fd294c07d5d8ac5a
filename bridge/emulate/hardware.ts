import { nominal, toleranceOf } from './parts.ts';

/**
 * The electronics of docs/hardware.md as numbers: what follows from the list of parts. The emulated board's analog front end and
 * the guide's arithmetic both start here, so that they can't drift apart.
 */

/** What is chosen beside the parts' own values, and what an amplifier of the kind asked for does at worst. */
export const PARTS = {
  supplyV: 5,
  /** In series with the galvanometer; what the amplifier looks at. */
  galShuntOhm: nominal('R1'),
  /** Instrumentation amplifier of three operational amplifiers: two feedback resistors and the one that sets the gain. */
  gainFeedbackOhm: nominal('R4'),
  gainSetOhm: nominal('R6'),
  /** Resistors of the difference stage, their tolerance, and the capacitor across the feedback one. */
  differenceOhm: nominal('R7'),
  differenceTolerance: toleranceOf('R7'),
  filterFarad: nominal('C1'),
  /** From each end of the shunt to the amplifier's input. */
  inputSeriesOhm: nominal('R2'),
  /** Over the shunt, two silicon diodes head to tail. */
  clampV: 0.7,
  /** Operational amplifier: voltage noise, offset at most, how near to the supply its output goes, rejection of the common mode, bandwidth. */
  noiseVPerRootHz: 95e-9,
  offsetV: 10e-6,
  outputSwingV: 0.03,
  commonModeRejection: 1e5,
  gainBandwidthHz: 350e3,
  /** In the driver's lead at A. */
  driverShuntOhm: nominal('R11'),
  driverGain: nominal('R31') / nominal('R29'),
  /** Position: a linear potentiometer with a resistor at either end. */
  potentiometerOhm: nominal('P1'),
  potentiometerEndOhm: nominal('R24'),
  strokeCm: 100,
  /** Between a source and its analog input, with a capacitor to ground at the pin. */
  pinSeriesOhm: nominal('R12'),
  pinFarad: nominal('C3'),
  /** Dither: an R-2R ladder on three port pins, coupled to each analog input. */
  ditherBits: 3,
  ditherCoupleOhm: nominal('R15'),
  /** Of the ladder as a source, and how many channels load it. */
  ladderOhm: nominal('R22'),
  analogInputs: 3,
} as const;

/** The converter and what the firmware makes of it (firmware-protocol/atmega328p/board.h and sampler.c). */
export const CONVERTER = {
  steps: 1024,
  /** Counts that the board sends are in quarters of a step. */
  countsPerStep: 4,
  railSteps: 12,
  conversionS: 112e-6,
  /** At 200 Hz: conversions of the galvanometer in one sample, and of all channels. */
  averaged: 16,
  burst: 36,
} as const;

const { supplyV } = PARTS;

/** Counts within which no conversion is taken for saturated, both ends included. */
export const BOTTOM_COUNT = CONVERTER.countsPerStep * CONVERTER.railSteps;
export const TOP_COUNT = CONVERTER.countsPerStep * (CONVERTER.steps - 1 - CONVERTER.railSteps);

/** Volts at a pin for one count of the board. */
export const VOLTS_PER_COUNT = supplyV / (CONVERTER.steps * CONVERTER.countsPerStep);

export const MID_RAIL_V = supplyV / 2;

/** Gain of a three-amplifier instrumentation amplifier, 1 + 2 R / R_G, its difference stage having gain 1. */
export const GAL_GAIN = 1 + (2 * PARTS.gainFeedbackOhm) / PARTS.gainSetOhm;

/** What is left at an analog pin of the voltage before its resistor: the dither's resistor pulls at it. */
export const PIN_SHARE = PARTS.ditherCoupleOhm / (PARTS.ditherCoupleOhm + PARTS.pinSeriesOhm);

/** Volts at the amplifier's output for one microampere in the galvanometer. */
export const AMPLIFIER_VOLTS_PER_UA = 1e-6 * PARTS.galShuntOhm * GAL_GAIN;

/** The same at the converter. */
export const GAL_VOLTS_PER_UA = AMPLIFIER_VOLTS_PER_UA * PIN_SHARE;

/** What the board reads at no current. */
export const GAL_ZERO_COUNTS = (MID_RAIL_V * PIN_SHARE) / VOLTS_PER_COUNT;

export const GAL_UA_PER_COUNT = VOLTS_PER_COUNT / GAL_VOLTS_PER_UA;

/** From the zero to the span's upper end. */
export const GAL_SPAN_UA = (TOP_COUNT - GAL_ZERO_COUNTS) * GAL_UA_PER_COUNT;

/** Time constant of the first stage, bandwidth over gain: no second filter worth the name. */
export const FIRST_STAGE_S = GAL_GAIN / (2 * Math.PI * PARTS.gainBandwidthHz);

/** Volts at the converter for one milliampere of driver current. */
export const DRIVER_VOLTS_PER_MA = 1e-3 * PARTS.driverShuntOhm * PARTS.driverGain * PIN_SHARE;

export const DRIVER_MA_PER_COUNT = VOLTS_PER_COUNT / DRIVER_VOLTS_PER_MA;

/** What A6 puts out at no current: R32 and R33 are a divider, and side by side as large as R31. */
export const DRIVER_PEDESTAL_V = (supplyV * nominal('R33')) / (nominal('R32') + nominal('R33'));

export const DRIVER_ZERO_COUNTS = (DRIVER_PEDESTAL_V * PIN_SHARE) / VOLTS_PER_COUNT;

/** Time constant of the single-pole low-pass across the difference stage, in seconds. */
export const FILTER_S = PARTS.differenceOhm * PARTS.filterFarad;

/** Its noise bandwidth, 1 / (4 tau), in hertz. */
export const NOISE_BANDWIDTH_HZ = 1 / (4 * FILTER_S);

const BOLTZMANN_J_PER_K = 1.380649e-23;
const ROOM_K = 293.15;

/** Thermal noise of a resistance (Johnson, Nyquist 1928: 4 k T R), in volts per root hertz. */
export const thermalNoise = (ohm: number): number => Math.sqrt(4 * BOLTZMANN_J_PER_K * ROOM_K * ohm);

/** Noise at the amplifier's input: two amplifiers, two series resistors, shunt and gain resistor. */
export const INPUT_NOISE_V_PER_ROOT_HZ = Math.hypot(
  Math.SQRT2 * PARTS.noiseVPerRootHz,
  Math.SQRT2 * thermalNoise(PARTS.inputSeriesOhm),
  thermalNoise(PARTS.galShuntOhm),
  thermalNoise(PARTS.gainSetOhm),
);

/** RMS noise at the converter's input, as a current in the galvanometer. */
export const GAL_NOISE_UA =
  (INPUT_NOISE_V_PER_ROOT_HZ * Math.sqrt(NOISE_BANDWIDTH_HZ) * GAL_GAIN) / GAL_VOLTS_PER_UA;

/** What the dither ladder's whole span, eight steps, is worth at an analog input, in volts; all inputs load the ladder. */
export const DITHER_SPAN_V =
  (supplyV * PARTS.pinSeriesOhm) /
  (PARTS.pinSeriesOhm + PARTS.ditherCoupleOhm + PARTS.analogInputs * PARTS.ladderOhm);

/** Position: volts at the wiper, the potentiometer between its end resistors. */
export const wiperVolts = (scaleCm: number): number =>
  (supplyV * (PARTS.potentiometerEndOhm + (PARTS.potentiometerOhm * scaleCm) / PARTS.strokeCm)) /
  (PARTS.potentiometerOhm + 2 * PARTS.potentiometerEndOhm);

export const CM_PER_COUNT = VOLTS_PER_COUNT / ((wiperVolts(1) - wiperVolts(0)) / 1);

/** Places of the galvanometer's conversions among all of a block, and blocks in a burst at 200 Hz (sampler.c). */
const GAL_PLACES = [0, 3, 5, 8];
const BLOCK = 9;
const BLOCKS = 4;

/**
 * What is left of the variance of first-order noise (time constant `tauS`) when a sample averages it: the mean
 * of its autocorrelation over all pairs of conversions.
 */
export function averagedShare(tauS: number, conversionS: number = CONVERTER.conversionS): number {
  const timesS = Array.from({ length: BLOCKS }, (_, block) =>
    GAL_PLACES.map((place) => (BLOCK * block + place) * conversionS),
  ).flat();
  const pairs = timesS.flatMap((a) => timesS.map((b) => Math.exp(-Math.abs(a - b) / tauS)));
  return pairs.reduce((sum, value) => sum + value, 0) / pairs.length;
}

/** Standard deviation of rounding to whole counts (a uniform error of one count, GUM 4.3.7). */
export const QUANTISING_COUNTS = 1 / Math.sqrt(12);

/** Without dither all conversions of a quiet input agree, and the step is the converter's own. */
export const UNDITHERED_COUNTS = CONVERTER.countsPerStep / Math.sqrt(12);

/** Standard deviation of one sample of the galvanometer at rest, in counts: amplifier noise and rounding. */
export const galSampleCounts = (noiseUa: number = GAL_NOISE_UA): number =>
  Math.hypot((noiseUa / GAL_UA_PER_COUNT) * Math.sqrt(averagedShare(FILTER_S)), QUANTISING_COUNTS);
