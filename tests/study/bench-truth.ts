import {
  type BalancingLength,
  type BenchKnowledge,
  priorEndCorrection,
  priorThermalEmfUv,
} from '../../bridge/calc-core/balancing-length.ts';
import { randomDraws } from '../../bridge/calc-core/random-draws.ts';

/** An invented bench with known truth: every error is drawn from the distribution that the bench states. */

export type Normal = () => number;

export const normalFrom = (seed: number): Normal => randomDraws(seed).normal;

export const BENCH: BenchKnowledge = {
  wireLengthCm: 1000,
  rowLengthCm: 100,
  wireResistanceOhm: 20,
  position: { standardUncertaintyCm: 0.03, correlationCm: 15 },
  endCorrection: { valueCm: 0, standardUncertaintyCm: 1 },
  uniformityRelative: null,
  rowSpreadRelative: null,
  turnCorrectionCm: null,
  thermalEmfUv: 5,
  steadyRelativePerMin: { 1: null, 2: null },
};

/** One bench as it really is. */
export interface Truth {
  alphaCm: number;
  /** Error of a scale reading at x, the same in every row. */
  scaleErrorCm(x: number): number;
  /** Relative excess of the resistance of the wire up to a length. */
  wireExcess(lengthCm: number): number;
  /** Resistance of the strip after each row, as length of wire. */
  stripsCm: number[];
  thermalV: [number, number];
}

/**
 * A stationary Gaussian error along the scale with covariance u²·exp(-((x-x')/c)²): white noise on a fine grid, smoothed by
 * exp(-2(x/c)²), whose autocorrelation is that covariance. Shares no code with the calculation's covariance matrix.
 */
export function scaleError(uCm: number, correlationCm: number, normal: Normal): (x: number) => number {
  const step = correlationCm / 12;
  const reach = 3 * correlationCm;
  const knots = Math.ceil((100 + 2 * reach) / step);
  const noise = Array.from({ length: knots }, normal);
  // integral of exp(-4 x²/c²) is c·√π/2: the variance of the smoothed noise of unit density
  const scale = (uCm * Math.sqrt(step)) / Math.sqrt((correlationCm * Math.sqrt(Math.PI)) / 2);
  return (x) => {
    let sum = 0;
    for (let knot = 0; knot < knots; knot += 1) {
      const apart = (x - (knot * step - reach)) / correlationCm;
      if (Math.abs(apart) < 3) sum += noise[knot] * Math.exp(-2 * apart * apart);
    }
    return scale * sum;
  };
}

/** A random walk whose relative size at every length has the standard deviation stated. */
function wireExcess(relative: number, normal: Normal): (lengthCm: number) => number {
  const walk = [0];
  for (let cm = 1; cm <= 1000; cm += 1) walk.push(walk[cm - 1] + normal());
  return (lengthCm) => (relative * walk[Math.round(lengthCm)]) / Math.sqrt(Math.round(lengthCm) || 1);
}

export function drawTruth(bench: BenchKnowledge, normal: Normal): Truth {
  const { position, turnCorrectionCm: turn } = bench;
  const end = priorEndCorrection(bench);
  const thermalV = priorThermalEmfUv(bench) * 1e-6;
  return {
    alphaCm: end.valueCm + end.standardUncertaintyCm * normal(),
    scaleErrorCm: position
      ? scaleError(position.standardUncertaintyCm, position.correlationCm, normal)
      : () => 0,
    wireExcess: bench.uniformityRelative ? wireExcess(bench.uniformityRelative, normal) : () => 0,
    stripsCm: Array.from({ length: 10 }, () =>
      turn ? turn.valueCm + turn.standardUncertaintyCm * normal() : 0,
    ),
    thermalV: [thermalV * normal(), thermalV * normal()],
  };
}

/** Voltage from A to a place on the wire, in cm of ideal wire. */
const potentialCm = (truth: Truth, lengthCm: number): number => {
  const strips = truth.stripsCm.slice(0, Math.floor(lengthCm / 100));
  return (
    lengthCm * (1 + truth.wireExcess(lengthCm)) +
    truth.alphaCm +
    strips.reduce((sum, strip) => sum + strip, 0)
  );
};

/** Where the null of `emfV` lies at this gradient: fixed-point search, since strips and unevenness depend on the place. */
export function trueNullCm(truth: Truth, emfV: number, gradientVPerCm: number): number {
  const wanted = emfV / gradientVPerCm;
  let lengthCm = wanted;
  for (let step = 0; step < 40; step += 1) lengthCm += wanted - potentialCm(truth, lengthCm);
  return lengthCm;
}

/** The length as the sensor reads it: odd rows run with the scale, even ones against it. */
export function readLength(truth: Truth, nullCm: number, uReadCm: number, normal: Normal): BalancingLength {
  const row = Math.min(10, Math.floor(nullCm / 100) + 1);
  const scaleSense = row % 2 === 1 ? 1 : -1;
  const along = nullCm - (row - 1) * 100;
  const x = scaleSense === 1 ? along : 100 - along;
  const sensorScaleCm = x + truth.scaleErrorCm(x) + uReadCm * normal();
  return {
    lengthCm: nullCm + scaleSense * (sensorScaleCm - x),
    uOwnCm: uReadCm,
    ownDof: Number.POSITIVE_INFINITY,
    common: {},
    sensorScaleCm,
    scaleSense,
    row,
    atS: null,
  };
}
