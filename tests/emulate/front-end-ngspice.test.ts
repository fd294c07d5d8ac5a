import { describe, expect, test } from 'vitest';
import { createFrontEnd, QUIET_FRONT_END } from '../../bridge/emulate/front-end.ts';
import { MID_RAIL_V, PARTS, VOLTS_PER_COUNT } from '../../bridge/emulate/hardware.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import {
  BENCH_DRIVER_A,
  type FrontEndCase,
  type FrontEndState,
  sweepFrontEnds,
} from '../../docs/hardware/netlist.ts';
import {
  leastFirstStageMarginV,
  nominalCase,
  sweepCorners,
  worstScaleError,
  worstZeroShiftUa,
} from '../../docs/hardware/sweep.ts';

/** The front end of docs/hardware.md, drawn from its list of parts, judged by ngspice. */

/** What 50 µm of wire are worth near a null of the demo's bench (docs/hardware.md: about 17 µA/cm). */
const MOST_ZERO_SHIFT_UA = 0.085;

describe('the front end at the corners of its tolerances', () => {
  test('no stage reaches its rails inside the span, whatever the cell, and its zero does not go with the cell', () => {
    const swept = sweepCorners('at A', [1, 2]);
    expect(leastFirstStageMarginV(swept)).toBeGreaterThan(1);
    expect(worstScaleError(swept)).toBeLessThan(0.01);
    expect(worstZeroShiftUa(swept)).toBeLessThan(MOST_ZERO_SHIFT_UA);
  });

  test('the same looks find a shunt that lies beyond the cell', () => {
    const swept = sweepCorners('beyond the cell', [0]);
    expect(leastFirstStageMarginV(swept)).toBeLessThan(0.001);
    expect(worstScaleError(swept)).toBeGreaterThan(0.2);
  });
});

/** As the emulated one has it: one of the first two amplifiers rejects no better than it must. */
const atNominal = (shunt: FrontEndCase['shunt']): FrontEndCase => ({
  ...nominalCase(1.54, shunt),
  amplifier: (name) => ({ offsetV: 0, commonModeGain: name === 'A2' ? 1 / PARTS.commonModeRejection : 0 }),
});

const swept = (shunt: FrontEndCase['shunt']): FrontEndState[] =>
  sweepFrontEnds([atNominal(shunt)], { mostUa: 180, stepUa: 20 })[0];

/** The emulated front end's voltages at PC0 and PC2 for standing currents, without dither. */
function emulatedV(galvanometerUa: number, shuntAtV: number): { gal: number; drv: number } {
  const frontEnd = createFrontEnd(INVENTED_BENCH, { ...QUIET_FRONT_END, noiseUa: 0, shuntAtV });
  const seen = { galvanometerUa, driverMa: 1000 * BENCH_DRIVER_A, scaleCm: 50, jumps: [] };
  frontEnd.follow(0, seen);
  return frontEnd.follow(1, seen);
}

describe('the emulated front end', () => {
  test('puts out what ngspice finds, within a count or two, in the span and beyond it', () => {
    for (const { currentUa, pc0V, pc2V } of swept('at A')) {
      const { gal, drv } = emulatedV(currentUa, MID_RAIL_V);
      expect(Math.abs(gal - pc0V)).toBeLessThan(VOLTS_PER_COUNT);
      expect(Math.abs(drv - pc2V)).toBeLessThan(2 * VOLTS_PER_COUNT);
    }
  });

  test('freezes where ngspice has it freeze, with the shunt one EMF below mid-rail', () => {
    const states = swept('beyond the cell');
    const atNought = states[(states.length - 1) / 2];
    for (const { currentUa, pc0V } of states) {
      const shuntAtV = (atNought.a1V + atNought.a2V) / 2 + (currentUa * 1e-6 * PARTS.galShuntOhm) / 2;
      expect(Math.abs(emulatedV(currentUa, shuntAtV).gal - pc0V)).toBeLessThan(2 * VOLTS_PER_COUNT);
    }
    // Inside the span, and nothing says that they are no readings.
    expect(states[0].pc0V).toBeGreaterThan(0.6);
    expect(states[states.length - 1].pc0V).toBeLessThan(4.4);
  });
});
