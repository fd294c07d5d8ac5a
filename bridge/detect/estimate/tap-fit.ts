import type { Tap } from '../tap.ts';
import { NormalEquations } from './least-squares.ts';
import type { BendingPrior } from './shape.ts';
import type { Curve, Refusal } from './sweep-fit.ts';
import { evaluate, rootOf } from './sweep-fit.ts';

/** Balancing place from taps: a straight line, hardly bent, through settled plateaux, each weighted by what it knows. */

export interface TapFit {
  rootCm: number;
  varianceCm2: number;
  dof: number;
  slope: number;
  noiseCounts: number;
  tS: number;
  curve: Curve;
  used: { x: Float64Array; y: Float64Array };
  /** Chi-square of the plateaux about the line over its degrees of freedom; 1 where none are left. */
  misfit: number;
}

export function fitTaps(taps: readonly Tap[], zeroCounts: number, bending: BendingPrior): TapFit | Refusal {
  let used = taps.filter((tap) => tap.saturated === 0);
  if (used.length < 2) return signsDiffer(taps, zeroCounts) ? 'saturated-near-null' : 'too-few-samples';
  let fit = weighted(used, zeroCounts, bending);
  // Leave out plateaux far off the line, the worst first, while four or more stay.
  while (fit !== null && used.length > 4) {
    const worst = worstOf(used, zeroCounts, fit);
    if (worst.sigmas < 5) break;
    used = used.filter((_, index) => index !== worst.index);
    fit = weighted(used, zeroCounts, bending);
  }
  if (fit === null) return 'no-slope';
  return judge(used, zeroCounts, fit);
}

const signsDiffer = (taps: readonly Tap[], zeroCounts: number): boolean => {
  const signs = taps.map((tap) => Math.sign(tap.y - zeroCounts));
  return signs.includes(1) && signs.includes(-1);
};

interface Weighted {
  curve: Curve;
  inverse: Float64Array;
  slopePerCm: number;
  squares: number;
}

const varianceOf = (tap: Tap, slopePerCm: number): number => tap.yVariance + slopePerCm ** 2 * tap.xVariance;

function weighted(taps: readonly Tap[], zeroCounts: number, bending: BendingPrior): Weighted | null {
  const places = taps.map((tap) => tap.xCm);
  const low = Math.min(...places);
  const high = Math.max(...places);
  if (!(high - low > 1e-6)) return null;
  const centreCm = (low + high) / 2;
  const halfCm = (high - low) / 2;
  let slopePerCm = 0;
  let result: Weighted | null = null;
  for (let round = 0; round < 3; round += 1) {
    const equations = new NormalEquations(4);
    for (const tap of taps) {
      const u = (tap.xCm - centreCm) / halfCm;
      equations.add([1, u, u * u, u * u * u], tap.y - zeroCounts, 1 / varianceOf(tap, slopePerCm));
    }
    // Before a slope is known, bending is shut out; afterwards it is held to what the bench allows.
    const size2 = round === 0 ? 1e-6 : slopePerCm * halfCm ** 2 * bending.perCm;
    const size3 = round === 0 ? 1e-6 : slopePerCm * halfCm ** 3 * bending.perCm2;
    equations.addPrior(2, 0, 1 / Math.max(1e-12, size2 ** 2));
    equations.addPrior(3, 0, 1 / Math.max(1e-12, size3 ** 2));
    const solution = equations.solve();
    if (solution === null) return null;
    slopePerCm = solution.coefficients[1] / halfCm;
    result = {
      curve: { centreCm, halfCm, coefficients: solution.coefficients },
      inverse: solution.inverse,
      slopePerCm,
      squares: solution.residualSquares,
    };
  }
  return result;
}

function worstOf(taps: readonly Tap[], zeroCounts: number, fit: Weighted): { index: number; sigmas: number } {
  let worst = { index: -1, sigmas: 0 };
  taps.forEach((tap, index) => {
    const off = tap.y - zeroCounts - evaluate(fit.curve, tap.xCm);
    const sigmas = Math.abs(off) / Math.sqrt(varianceOf(tap, fit.slopePerCm));
    if (sigmas > worst.sigmas) worst = { index, sigmas };
  });
  return worst;
}

function judge(taps: Tap[], zeroCounts: number, fit: Weighted): TapFit | Refusal {
  const root = rootOf(
    fit.curve,
    fit.curve.centreCm - (fit.curve.halfCm * fit.curve.coefficients[0]) / fit.curve.coefficients[1],
  );
  const below = taps.filter((tap) => tap.xCm < root).length;
  if (!Number.isFinite(root) || below === 0 || below === taps.length) return 'no-sign-change';
  if (!clearlyOpposite(taps, zeroCounts, fit.slopePerCm)) return 'no-sign-change';
  const dof = taps.length - 2;
  const misfit = dof > 0 ? fit.squares / dof : 1;
  const structured = Math.sqrt(Math.max(0, fit.squares / Math.max(1, dof)));
  const span = 2 * Math.abs(fit.curve.coefficients[1]);
  const typical = Math.sqrt(
    taps.reduce((sum, tap) => sum + varianceOf(tap, fit.slopePerCm), 0) / taps.length,
  );
  if (dof > 0 && structured * typical > 0.05 * span && misfit > 9) return 'not-a-line';
  const widening = dof > 0 && misfit > 1 + 2 * Math.sqrt(2 / dof) ? misfit : 1;
  const u = (root - fit.curve.centreCm) / fit.curve.halfCm;
  const row = [1, u, u * u, u * u * u];
  let variance = 0;
  for (let i = 0; i < 4; i += 1)
    for (let j = 0; j < 4; j += 1) variance += row[i] * row[j] * fit.inverse[i * 4 + j];
  return {
    rootCm: root,
    varianceCm2: (widening * variance) / fit.slopePerCm ** 2,
    dof: widening > 1 ? dof : 20 * taps.length,
    slope: fit.slopePerCm,
    noiseCounts: typical,
    tS: nearestTap(taps, root).tS,
    curve: fit.curve,
    used: {
      x: Float64Array.from(taps, (tap) => tap.xCm),
      y: Float64Array.from(taps, (tap) => tap.y - zeroCounts),
    },
    misfit,
  };
}

/** Current of both signs, each beyond four of its standard deviations. */
function clearlyOpposite(taps: readonly Tap[], zeroCounts: number, slopePerCm: number): boolean {
  const clear = (sign: 1 | -1) =>
    taps.some((tap) => sign * (tap.y - zeroCounts) > 4 * Math.sqrt(varianceOf(tap, slopePerCm)));
  return clear(1) && clear(-1);
}

const nearestTap = (taps: readonly Tap[], root: number): Tap =>
  taps.reduce((best, tap) => (Math.abs(tap.xCm - root) < Math.abs(best.xCm - root) ? tap : best));
