/** What the calculations are fed: balancing lengths with everything that makes them uncertain. */

/** Where the position sensor read one of the nulls that a length was combined from. */
export interface SensedPlace {
  /** Its share of the length; the shares of a length add up to 1. */
  share: number;
  sensorScaleCm: number;
  scaleSense: 1 | -1;
}

/** A balancing length of one cell, after the nulls of one place have been combined. */
export interface BalancingLength {
  /** Length of wire from A to the null, in cm. */
  lengthCm: number;
  /** Standard uncertainty in cm of what is this length's own: what no other length shares. */
  uOwnCm: number;
  /** Degrees of freedom of `uOwnCm`; Infinity where it is known beforehand. */
  ownDof: number;
  /**
   * Common effects by name (such as `lag`, `zero`): how many cm this length moves, with sign, when the
   * effect moves by one of its standard uncertainties. Lengths that name the same effect are correlated by it.
   */
  common: Readonly<Record<string, number>>;
  /** Where on the metre scale the position sensor read it; null for a length read by eye (no sensor error). */
  sensorScaleCm: number | null;
  /** The places one by one, where nulls of different places were combined (a drifting driver); else absent. */
  places?: readonly SensedPlace[];
  /** +1 where the length grows with the scale on its row, -1 otherwise. */
  scaleSense: 1 | -1;
  /** Row of the wire, from 1; decides how many row turns lie between A and the null. Null if unknown. */
  row: number | null;
  /** Board time in seconds: the mean of its nulls, weighted as they are; null where nobody knows. */
  atS: number | null;
}

/** What is known of the bench beforehand and touches every length; null is what nobody stated. */
export interface BenchKnowledge {
  wireLengthCm: number;
  rowLengthCm: number;
  wireResistanceOhm: number;
  /** Position sensor: covariance of two lengths is sense·sense'·u²·exp(-((x-x')/correlation)²), x the scale reading. */
  position: { standardUncertaintyCm: number; correlationCm: number } | null;
  /** Prior knowledge of the end correction alpha. */
  endCorrection: StatedCm | null;
  /** Random walk along the wire: the error of a length l on a wire L, as wire, has standard uncertainty u·√(L·l). */
  uniformityRelative: number | null;
  /** Each row's resistance per length is off by an amount of its own; this is its relative standard deviation. */
  rowSpreadRelative: number | null;
  /** What each strip that joins two rows is worth as wire. */
  turnCorrectionCm: StatedCm | null;
  /** Standard uncertainty in microvolts of the thermal EMF in the leads of a cell. */
  thermalEmfUv: number | null;
  /** Standard uncertainty of the relative change of each cell's EMF, a minute. */
  steadyRelativePerMin: Readonly<Record<1 | 2, number | null>>;
}

/** A length that somebody stated, with its standard uncertainty. */
export interface StatedCm {
  valueCm: number;
  standardUncertaintyCm: number;
}

/** One set of observations of an EMF comparison: both cells at one setting of the rheostat. */
export interface ComparisonSet {
  set: number;
  /** Driver current in mA that both lengths were brought to; null where nothing measures it. */
  driverMa: number | null;
  l1: BalancingLength;
  l2: BalancingLength;
}

/** One set of an internal-resistance run: open (l0) and with a load across the cell (l). */
export interface LoadSet {
  set: number;
  driverMa: number | null;
  loadOhm: number;
  /** Standard uncertainty of the load in ohm; null where nobody stated it. */
  uLoadOhm: number | null;
  l0: BalancingLength;
  l: BalancingLength;
}
