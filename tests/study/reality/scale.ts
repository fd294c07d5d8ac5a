import { smoothError } from '../../independent-recordings/writer/noise.ts';
import type { Chance } from './chance.ts';
import { ORDINARY, type Sizes } from './sizes.ts';

/** How a place on the metre scale is read: by a sensor with its calibration, or by eye. Centimetres. */

export interface Reader {
  byEye: boolean;
  /** Noise of one reading, standard deviation. */
  noiseCm: number;
  read(scaleCm: number): number;
}

export function drawReader(sizes: Sizes, byEye: boolean, chance: Chance): Reader {
  const error = drawScaleError(sizes, chance);
  const noiseCm = chance.logBetween(0.003, 0.05);
  if (!byEye) return { byEye, noiseCm, read: (x) => x + error(x) + noiseCm * chance.normal() };
  // the head's habit for the whole session, its movement each time, and the nearest tick
  const parallaxCm = 0.03 * chance.between(-1, 1);
  const tickCm = chance.oneOf([0.05, 0.1, 0.1]);
  const read = (x: number) =>
    tickCm * Math.round((x + 0.5 * error(x) + parallaxCm + 0.02 * chance.normal()) / tickCm);
  return { byEye, noiseCm: 0.05, read };
}

/** Error of the scale or the sensor at a scale reading: a bow, a tilt, something local, a knife edge beside its mark. */
export function drawScaleError(sizes: Sizes, chance: Chance): (x: number) => number {
  const bow = sizes.scale * ORDINARY.scaleBowCm * chance.normal();
  const tilt = 0.5 * sizes.scale * ORDINARY.scaleBowCm * chance.normal();
  const local = smoothError(sizes.scale * ORDINARY.scaleLocalCm, chance.between(4, 15), chance.uniform);
  const edge = sizes.edge * ORDINARY.edgeCm * chance.normal();
  return (x) => bow * Math.sin((Math.PI * x) / 100) + tilt * (x / 50 - 1) + local(x) + edge;
}
