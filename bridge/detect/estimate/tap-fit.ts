import { median } from '../../calc-core/median.ts';
import type { Tap } from '../tap.ts';
import type { Curve } from './curve.ts';
import { evaluate, rootOf, rootVariance } from './curve.ts';
import { NormalEquations } from './least-squares.ts';
import type { Refusal } from './refuse.ts';
import { CLEAR_SIGMAS } from './refuse.ts';
import type { Bending, Shape } from './shape.ts';
import { BENDING_EARNED } from './shape.ts';

/** A null by tapping: a hardly bent line through settled plateaux, each weighted by what it knows. */

export interface TapFit {
  /** Place on the scale in cm. */
  rootCm: number;
  varianceCm2: number;
  dof: number;
  /** Counts per cm of scale. */
  slope: number;
  /** Typical standard deviation of a plateau about the line, in counts. */
  noiseCounts: number;
  /** Seconds at which the null was there: the times of the taps, each weighted by how far it moves the root. */
  tS: number;
  curve: Curve;
  shown: { x: Float64Array; y: Float64Array };
}

/** A plateau with the circuit's known bending taken out of its level. */
interface Plateau {
  tS: number;
  x: number;
  xVariance: number;
  y: number;
  yVariance: number;
}

/**
 * Few plateaux, so that none of a thousand runs loses a sound one: of normal errors one in two million lies further
 * off.
 */
const OUTLIER_SIGMAS = 5;
/** With fewer plateaux than this there is no telling which of them is off. */
const LEAST_TO_JUDGE = 5;
/** In cm: all at one place tell no slope. */
const LEAST_REACH_CM = 1e-6;
/** Fits, since weights need the slope of the one before. */
const ROUNDS = 3;
/** In counts²: keeps priors finite. */
const LEAST_PRIOR_VARIANCE = 1e-12;
/** A misfit under this share of the line's rise is scatter, and no other curve (common practice, no source). */
const STRUCTURE_SHARE = 0.05;
/** The 99 % point of a normal distribution: scatter beyond it is not chance. */
const CHANCE_SIGMAS = 2.33;
/** Degrees of freedom that the variance of a plateau stands for (common practice, no source). */
const DOF_A_TAP = 20;

/**
 * The null of some taps: a line of weighted least squares through their plateaux, weights 1/(u²(y) + slope² u²(x)), held
 * straight by priors; the root's variance by the delta method, widened by the scatter about the line where that is more
 * than chance (R. T. Birge, Phys. Rev. 40, 207 (1932), from memory). See docs/method.md, "Taps".
 * @param zeroCounts the galvanometer's zero in counts: the level whose crossing is the null
 * @returns the fit, places in cm of the metre scale and levels in counts, or why the taps make no null
 */
export function fitTaps(taps: readonly Tap[], zeroCounts: number, shape: Shape): TapFit | Refusal {
  let plateaux = straightened(taps, zeroCounts, shape);
  if (plateaux.length < 2) return signsDiffer(taps, zeroCounts) ? 'saturated-near-null' : 'too-few-samples';
  let line = earnedLine(plateaux, shape);
  while (line !== null && plateaux.length >= LEAST_TO_JUDGE) {
    const worst = worstOf(plateaux, line);
    if (worst.sigmas < OUTLIER_SIGMAS) break;
    plateaux = plateaux.filter((_, index) => index !== worst.index);
    line = earnedLine(plateaux, shape);
  }
  while (line !== null && misfitOf(plateaux, line) > MISFIT) {
    const nearer = withoutFarthest(plateaux, rootOf(line.curve));
    if (nearer === null) break;
    plateaux = nearer;
    line = earnedLine(plateaux, shape);
  }
  if (line === null) return 'no-slope';
  return unlikely(plateaux, line, shape) ? 'not-a-line' : judge(plateaux, line);
}

/** Chi-square over its degrees of freedom; 0 where two taps leave none. */
const misfitOf = (plateaux: readonly Plateau[], line: Line): number =>
  plateaux.length > 2 ? line.chiSquare / (plateaux.length - 2) : 0;

/** A misfit that no noise explains: three times what the plateaux promise. */
const MISFIT = 9;
/** Taps further from the root than so many times their median lend it a long lever and say little of it. */
const FAR = 3;

/** Null where no tap lies far off, or none would be left beyond two. */
function withoutFarthest(plateaux: readonly Plateau[], rootCm: number): Plateau[] | null {
  const distances = plateaux.map((plateau) => Math.abs(plateau.x - rootCm));
  const far = distances.indexOf(Math.max(...distances));
  if (!(distances[far] > FAR * median(distances)) || plateaux.length < 3) return null;
  return plateaux.filter((_, index) => index !== far);
}

/**
 * Two taps make a line of anything; they are believed where it is about as steep as the bench says and the null rests on both.
 */
function unlikely(plateaux: readonly Plateau[], line: Line, { statedSlope }: Shape): boolean {
  if (plateaux.length > 2) return false;
  const rootCm = rootOf(line.curve);
  const distances = plateaux.map((plateau) => Math.abs(plateau.x - rootCm));
  if (Math.max(...distances) > LOPSIDED * Math.min(...distances)) return true;
  if (statedSlope === null) return false;
  const ratio = Math.abs(line.slopePerCm) / statedSlope;
  return ratio < 1 / STEEPER || ratio > STEEPER;
}

/**
 * One tap so many times as far from the root as the other gives a slope and nothing else (common practice, no source).
 */
const LOPSIDED = 8;
/** A bench file's resistances and the driver current are good to a few per cent; the wire's own adds some. */
const STEEPER = 1.3;

function straightened(taps: readonly Tap[], zeroCounts: number, shape: Shape): Plateau[] {
  const clear = taps.filter((tap) => tap.saturated === 0);
  if (clear.length === 0) return [];
  const middle = shape.straighten(clear.reduce((sum, tap) => sum + tap.xCm, 0) / clear.length);
  return clear.map((tap) => ({
    tS: tap.tS,
    x: tap.xCm,
    xVariance: tap.xVariance,
    y: ((tap.y - zeroCounts) * shape.straighten(tap.xCm)) / middle,
    yVariance: tap.yVariance,
  }));
}

const signsDiffer = (taps: readonly Tap[], zeroCounts: number): boolean => {
  const signs = taps.map((tap) => Math.sign(tap.y - zeroCounts));
  return signs.includes(1) && signs.includes(-1);
};

interface Line {
  curve: Curve;
  inverse: Float64Array;
  slopePerCm: number;
  /** Chi-square of the plateaux about the line, what the bending's prior adds included. */
  chiSquare: number;
}

const varianceOf = (plateau: Plateau, slopePerCm: number): number =>
  plateau.yVariance + slopePerCm ** 2 * plateau.xVariance;

/** Bending beyond what the circuit allows is believed only where it explains a good deal. */
function earnedLine(plateaux: readonly Plateau[], shape: Shape): Line | null {
  const tight = weightedLine(plateaux, shape.tight);
  if (tight === null || plateaux.length < LEAST_TO_JUDGE) return tight;
  const loose = weightedLine(plateaux, shape.loose);
  return loose !== null && tight.chiSquare - loose.chiSquare > BENDING_EARNED ? loose : tight;
}

/** Weights need the slope, for the doubt about places, so the fit is made anew with it. */
function weightedLine(plateaux: readonly Plateau[], bending: Bending): Line | null {
  const places = plateaux.map((plateau) => plateau.x);
  const [low, high] = [Math.min(...places), Math.max(...places)];
  if (!(high - low > LEAST_REACH_CM)) return null;
  const [centreCm, halfCm] = [(low + high) / 2, (high - low) / 2];
  let slopePerCm = 0;
  let line: Line | null = null;
  for (let round = 0; round < ROUNDS; round += 1) {
    const equations = new NormalEquations(4);
    for (const plateau of plateaux) {
      const u = (plateau.x - centreCm) / halfCm;
      equations.add([1, u, u * u, u * u * u], plateau.y, 1 / varianceOf(plateau, slopePerCm));
    }
    // Before a slope is known, bending is shut out.
    const variance = (size: number) => Math.max(LEAST_PRIOR_VARIANCE, (slopePerCm * size) ** 2);
    equations.addPrior(2, 0, 1 / variance(halfCm ** 2 * bending.perCm));
    equations.addPrior(3, 0, 1 / variance(halfCm ** 3 * bending.perCm2));
    const solution = equations.solve();
    if (solution === null) return null;
    slopePerCm = solution.coefficients[1] / halfCm;
    const curve = { centreCm, halfCm, coefficients: solution.coefficients };
    line = { curve, inverse: solution.inverse, slopePerCm, chiSquare: solution.residualSquares };
  }
  return line;
}

function worstOf(plateaux: readonly Plateau[], line: Line): { index: number; sigmas: number } {
  let worst = { index: -1, sigmas: 0 };
  plateaux.forEach((plateau, index) => {
    const off = plateau.y - evaluate(line.curve, plateau.x);
    const sigmas = Math.abs(off) / Math.sqrt(varianceOf(plateau, line.slopePerCm));
    if (sigmas > worst.sigmas) worst = { index, sigmas };
  });
  return worst;
}

function judge(plateaux: readonly Plateau[], line: Line): TapFit | Refusal {
  const rootCm = rootOf(line.curve);
  const below = plateaux.filter((plateau) => plateau.x < rootCm).length;
  if (!Number.isFinite(rootCm) || below === 0 || below === plateaux.length) return 'no-sign-change';
  if (!clearlyOpposite(plateaux, line.slopePerCm)) return 'no-sign-change';
  const dof = plateaux.length - 2;
  const misfit = dof > 0 ? misfitOf(plateaux, line) : 1;
  const typical = Math.sqrt(
    plateaux.reduce((sum, plateau) => sum + varianceOf(plateau, line.slopePerCm), 0) / plateaux.length,
  );
  const rise = 2 * Math.abs(line.curve.coefficients[1]);
  if (misfit > MISFIT && Math.sqrt(misfit) * typical > STRUCTURE_SHARE * rise) return 'not-a-line';
  // More scatter than the plateaux promise, beyond chance, widens the root.
  const widened = dof > 0 && misfit > 1 + CHANCE_SIGMAS * Math.sqrt(2 / dof);
  return {
    rootCm,
    varianceCm2: (widened ? misfit : 1) * rootVariance(line.curve, line.inverse, 4, rootCm),
    dof: widened ? dof : DOF_A_TAP * plateaux.length,
    slope: line.slopePerCm,
    noiseCounts: typical,
    tS: timeOf(plateaux, line, rootCm),
    curve: line.curve,
    shown: {
      x: Float64Array.from(plateaux, (plateau) => plateau.x),
      y: Float64Array.from(plateaux, (plateau) => plateau.y),
    },
  };
}

/** Current of both signs, each beyond four of its standard deviations. */
function clearlyOpposite(plateaux: readonly Plateau[], slopePerCm: number): boolean {
  const clear = (sign: 1 | -1) =>
    plateaux.some((plateau) => sign * plateau.y > CLEAR_SIGMAS * Math.sqrt(varianceOf(plateau, slopePerCm)));
  return clear(1) && clear(-1);
}

/** Of a null that a drifting driver moves evenly while it is tapped for, the line's root is the place at this time. */
function timeOf(plateaux: readonly Plateau[], { curve, inverse, slopePerCm }: Line, rootCm: number): number {
  const rowAt = (xCm: number) => {
    const u = (xCm - curve.centreCm) / curve.halfCm;
    return [1, u, u * u, u * u * u];
  };
  const root = rowAt(rootCm);
  const pull = root.map((_, column) =>
    root.reduce((sum, value, row) => sum + value * inverse[4 * row + column], 0),
  );
  let [weights, times] = [0, 0];
  for (const plateau of plateaux) {
    const moves = rowAt(plateau.x).reduce((sum, value, column) => sum + value * pull[column], 0);
    const weight = moves / varianceOf(plateau, slopePerCm);
    weights += weight;
    times += weight * (plateau.tS - plateaux[0].tS);
  }
  return plateaux[0].tS + times / weights;
}
