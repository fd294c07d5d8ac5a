import { type Bench, correlationCmOf } from '../bench/bench-file.ts';
import type { RandomStream } from './random.ts';
import type { FrontEnd } from './scene.ts';

/**
 * A draw of the sensor's scale error: normal, covariance u^2 exp(-((x - x')/c)^2). White noise on a grid, smoothed by
 * exp(-2 x^2/c^2), whose autocorrelation is exactly that; at a grid of c/4 the sum equals the integral beyond double precision's need.
 */
export function drawScaleError(
  rmsCm: number,
  correlationCm: number,
  lengthCm: number,
  random: RandomStream,
): (scaleCm: number) => number {
  if (rmsCm === 0) return () => 0;
  const spacingCm = correlationCm / 4;
  const reachCm = 3 * correlationCm;
  const knots = Math.ceil((lengthCm + 2 * reachCm) / spacingCm) + 1;
  const weights = Array.from({ length: knots }, () => random.normal());
  const factor = rmsCm * Math.sqrt((2 * spacingCm) / (correlationCm * Math.sqrt(Math.PI)));
  const exact = (scaleCm: number): number => {
    // Knots farther off than the reach weigh less than 2e-8.
    const first = Math.max(0, Math.ceil(scaleCm / spacingCm));
    const last = Math.min(knots - 1, Math.floor((scaleCm + 2 * reachCm) / spacingCm));
    let sum = 0;
    for (let knot = first; knot <= last; knot += 1) {
      const offset = (scaleCm + reachCm - knot * spacingCm) / correlationCm;
      sum += weights[knot] * Math.exp(-2 * offset * offset);
    }
    return factor * sum;
  };
  return tabulated(exact, lengthCm, correlationCm / 60);
}

/** Straight lines between values taken once; as fine as told. */
function tabulated(exact: (x: number) => number, length: number, nearSpacing: number): (x: number) => number {
  const pieces = Math.ceil(length / nearSpacing);
  const values = Float64Array.from({ length: pieces + 1 }, (_, index) => exact((index * length) / pieces));
  return (x) => {
    const at = Math.max(0, Math.min(pieces, (x / length) * pieces));
    const piece = Math.min(pieces - 1, Math.floor(at));
    return values[piece] + (at - piece) * (values[piece + 1] - values[piece]);
  };
}

/** Counts of a scale reading: the bench file's points the other way round. */
export function scaleToCounts(position: NonNullable<Bench['position']>): (scaleCm: number) => number {
  const points = [...position.points].sort((a, b) => a.scaleCm - b.scaleCm);
  return (scaleCm) => {
    let piece = 0;
    while (piece < points.length - 2 && scaleCm > points[piece + 1].scaleCm) piece += 1;
    const from = points[piece];
    const to = points[piece + 1];
    return from.counts + ((scaleCm - from.scaleCm) * (to.counts - from.counts)) / (to.scaleCm - from.scaleCm);
  };
}

/** The jockey's position sensor up to its converter. */
export interface PositionSensor {
  /** Unrounded counts for a true scale reading. */
  read(scaleCm: number): number;
}

export interface PositionStreams {
  noise: RandomStream;
  scaleError: RandomStream;
}

export function createPositionSensor(
  bench: Pick<Bench, 'position' | 'wire'>,
  options: FrontEnd['position'],
  streams: PositionStreams,
): PositionSensor {
  if (bench.position === undefined) return { read: () => 0 };
  const { standardUncertaintyCm } = bench.position;
  const errorCm = drawScaleError(
    options.scaleErrorCm ?? standardUncertaintyCm,
    options.scaleCorrelationCm ?? correlationCmOf(bench),
    bench.wire.rowLengthCm,
    streams.scaleError,
  );
  const counts = scaleToCounts(bench.position);
  const half = options.backlashCm / 2;
  let carriedCm = 0;
  return {
    read(scaleCm) {
      // A dog with play: it is carried along once the play is used up.
      carriedCm = Math.max(scaleCm - half, Math.min(scaleCm + half, carriedCm));
      const noiseCm = options.noiseCm === 0 ? 0 : options.noiseCm * streams.noise.normal();
      return counts(carriedCm + errorCm(scaleCm) + noiseCm);
    },
  };
}
