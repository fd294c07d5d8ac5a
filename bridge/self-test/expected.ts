import {
  CONVERTER,
  DRIVER_MA_PER_COUNT,
  DRIVER_ZERO_COUNTS,
  FILTER_S,
  FIRST_STAGE_S,
  GAL_UA_PER_COUNT,
  GAL_ZERO_COUNTS,
  PARTS,
  VOLTS_PER_COUNT,
  wiperVolts,
} from '../emulate/hardware.ts';
import { nominal } from '../emulate/parts.ts';

/**
 * What the front end of docs/hardware.md reads with the dummy source, in counts, and by how much it may be off: worst cases of the
 * tolerances in the list of parts. The converter's reference is the supply, so none of it depends on the supply's voltage.
 */

/** From either supply line through R34, the shunt and R28 to the mid-rail. */
const GAL_TEST_UA = (1e6 * (PARTS.supplyV / 2)) / (nominal('R34') + nominal('R1') + nominal('R28'));

/** From one supply line to the other through R35, the driver's shunt and R36. */
const DRIVER_TEST_MA = (1e3 * PARTS.supplyV) / (nominal('R35') + nominal('R36') + nominal('R11'));

/** Shunt, gain, difference stage and dummy source at their tolerances come to 0.6 %. */
const SPAN_SHARE = 0.008;
const END_SHARE = 0.05;

export const EXPECTED = {
  galZero: { counts: GAL_ZERO_COUNTS, within: 16 },
  /** From the current one way to the current the other way: the mid-rail's own error cancels. */
  galSpan: {
    counts: (2 * GAL_TEST_UA) / GAL_UA_PER_COUNT,
    within: (SPAN_SHARE * 2 * GAL_TEST_UA) / GAL_UA_PER_COUNT,
  },
  /** Middle of both against the zero: half the deflection times the error of the mid-rail's divider, and offsets. */
  galMiddle: { counts: 0, within: 20 },
  driverZero: { counts: DRIVER_ZERO_COUNTS, within: 12 },
  driverSpan: {
    counts: DRIVER_TEST_MA / DRIVER_MA_PER_COUNT,
    within: (0.04 * DRIVER_TEST_MA) / DRIVER_MA_PER_COUNT,
  },
  /** The track's resistance may be off by its tolerance, and with it the ends. */
  slideFrom: { counts: wiperVolts(0) / VOLTS_PER_COUNT, within: 45 },
  slideTo: { counts: wiperVolts(PARTS.strokeCm) / VOLTS_PER_COUNT, within: 45 },
  /** One sample at rest, with what a room may add. */
  galScatter: 3,
  /** Of counts that are whole steps, in a state of rest that happens to lie well. */
  wholeSteps: { most: 0.9 },
  /** The same over the whole slide. */
  wholeStepsSliding: {
    least: 1 / CONVERTER.countsPerStep - END_SHARE,
    most: 1 / CONVERTER.countsPerStep + END_SHARE,
  },
  lagS: { s: FILTER_S + FIRST_STAGE_S, within: 0.35 * FILTER_S },
} as const;
