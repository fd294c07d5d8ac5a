import type { RandomStream } from './random.ts';

/** How an arm moves: fractions of a move against fractions of its time, and the tremor on top. */

/** Least jerk (Flash and Hogan, J. Neurosci. 5 (1985) 1688; from memory): still at both ends, smooth between. */
const smooth = (x: number): number => x * x * x * (10 + x * (6 * x - 15));

/** Part of the time of a steady move that goes into starting, and as much into stopping. */
const RAMP = 0.12;

/** Constant speed between a start and a stop of constant acceleration. */
function steady(x: number): number {
  const top = 1 / (1 - RAMP);
  if (x < RAMP) return (top * x * x) / (2 * RAMP);
  if (x > 1 - RAMP) return 1 - (top * (1 - x) * (1 - x)) / (2 * RAMP);
  return top * (x - RAMP / 2);
}

/** Fraction of the way at a fraction of the time, both from 0 to 1. */
export const PROFILES = { smooth, steady } as const;

/** Physiological tremor of the hand lies at 8 to 12 Hz (common knowledge of the field; from memory). */
const TREMOR_HZ = [8.3, 9.7, 11.1];

/** Displacement in cm against time in s with the RMS given: a few sines of drawn phase and nearby frequencies. */
export function tremor(rmsCm: number, random: RandomStream): (tS: number) => number {
  if (rmsCm === 0) return () => 0;
  const amplitude = rmsCm * Math.sqrt(2 / TREMOR_HZ.length);
  const waves = TREMOR_HZ.map((hz) => ({
    perS: 2 * Math.PI * hz * (1 + 0.05 * random.normal()),
    phase: 2 * Math.PI * random.uniform(),
  }));
  return (tS) => {
    let sum = 0;
    for (const wave of waves) sum += Math.sin(wave.perS * tS + wave.phase);
    return amplitude * sum;
  };
}
