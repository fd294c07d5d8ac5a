import type { Bench } from '../../bench/bench-file.ts';
import { lengthFromA, wireLengthCm } from '../../bench/geometry.ts';

/**
 * How current bends against length, by the circuit: i = (E - V)/(R + R_th), and R_th = a(T - a)/T, the Thevenin
 * resistance of the wire seen from the jockey, changes along the wire. What the bench file and the driver current
 * tell of it is taken out before the fit; what they leave open is told to the fit as a prior.
 */
export interface Shape {
  /**
   * Resistance of the galvanometer's branch with the jockey at a place on the scale, over its value at any
   * fixed place: the current times this is straight in length.
   */
  straighten: (xCm: number) => number;
  /** Standard deviations of the bending left, relative to the slope: second order in 1/cm, third in 1/cm². */
  tight: Bending;
  /** The same with the bends that the position sensor's error may make, as large as the bench file says. */
  sensed: Bending;
  /** The same where the tight ones are plainly wrong: a bench file that is off, a bent position scale. */
  loose: Bending;
  /** Size of the slope in counts per cm that bench file and driver current let expect; null where they are silent. */
  statedSlope: number | null;
}

export interface Bending {
  perCm: number;
  perCm2: number;
}

/** Where a touch is made, as far as it is known. */
export interface Branch {
  protect: boolean;
  row: number | null;
  driverMa: number | null;
}

/** Chi-square that bending must explain beyond what the circuit allows, to be believed: five standard deviations. */
export const BENDING_EARNED = 25;
/**
 * A loop that seems to have less than this share of the wire's own resistance tells of a wrong file or ammeter (common
 * practice, no source).
 */
const LEAST_LOOP_SHARE = 0.9;
/** Of a position sensor whose bench file does not say (common practice, no source). */
const CORRELATION_CM = 15;
/** Share by which resistances of a bench file are reckoned to be off (common practice, no source). */
const FILE_SHARE = 0.03;

/**
 * Shape of the current along the row of a touch, by Thevenin's theorem from bench file and driver current. Where row, driver
 * EMF or driver current (in mA) are not known nothing is straightened, and the fit is left all the bending that the circuit
 * can make; how much that is: docs/method.md, "The fit of a pass".
 */
export function shapeOf(bench: Bench, branch: Branch): Shape {
  const ohmPerCm = bench.wire.resistanceOhm / wireLengthCm(bench.wire);
  const protect = branch.protect ? (bench.protectiveResistanceOhm ?? 0) : 0;
  const branchOhm = bench.galvanometer.resistanceOhm + protect;
  const most = ohmPerCm / branchOhm;
  const sensor = sensorBending(bench);
  const loose = both({ perCm: most, perCm2: most ** 2 }, sensor);
  const loopOhm = loopResistance(bench, branch.driverMa);
  const { row } = branch;
  const statedSlope = slopeOf(bench, branch, ohmPerCm / branchOhm);
  if (row === null || loopOhm === null)
    return { straighten: () => 1, tight: loose, sensed: loose, loose, statedSlope };
  const tight = { perCm: FILE_SHARE * most, perCm2: most ** 2 };
  return {
    statedSlope,
    straighten: (xCm) => {
      const a = ohmPerCm * lengthFromA(bench.wire, row, xCm);
      return 1 + (a * (loopOhm - a)) / loopOhm / branchOhm;
    },
    tight,
    sensed: both(tight, sensor),
    loose,
  };
}

function slopeOf(bench: Bench, { protect, driverMa }: Branch, perCm: number): number | null {
  if (driverMa === null || (protect && bench.protectiveResistanceOhm === undefined)) return null;
  const { microampsPerCount } = bench.galvanometer;
  return Math.abs((1000 * driverMa * perCm) / microampsPerCount);
}

/** Resistance once round the driver's loop, in ohm; null where EMF or current are unknown. */
function loopResistance(bench: Bench, driverMa: number | null): number | null {
  if (bench.driver === undefined || driverMa === null) return null;
  const ohm = (1000 * bench.driver.emfV) / driverMa;
  // Less than the wire alone can't be: the driver's stated EMF or the ammeter's scale must be off.
  return ohm > LEAST_LOOP_SHARE * bench.wire.resistanceOhm && Number.isFinite(ohm)
    ? Math.max(ohm, bench.wire.resistanceOhm)
    : null;
}

/**
 * Bends of the position sensor's error beside the slope: a smooth function of covariance u² exp(-(d/c)²) has a second derivative of standard
 * deviation sqrt(12) u/c², a third of sqrt(120) u/c³. Of the Taylor series half and a sixth of them stand beside the slope.
 */
function sensorBending(bench: Bench): Bending {
  const u = bench.position?.standardUncertaintyCm ?? 0;
  const c = bench.position?.correlationCm ?? CORRELATION_CM;
  return { perCm: (Math.sqrt(12) * u) / c ** 2 / 2, perCm2: (Math.sqrt(120) * u) / c ** 3 / 6 };
}

const both = (one: Bending, other: Bending): Bending => ({
  perCm: Math.hypot(one.perCm, other.perCm),
  perCm2: Math.hypot(one.perCm2, other.perCm2),
});
