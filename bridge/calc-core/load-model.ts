import type { AdoptedFit } from './adopted-fit.ts';
import { endCorrectionEffect, scatterEffects } from './adopted-outcome.ts';
import { type BenchKnowledge, priorEndCorrection } from './balancing-length.ts';
import type { Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { withTurns } from './length-effects.ts';
import { type LoadEntry, type LoadInputs, sizeOf } from './load-entries.ts';
import type { LoadResistance } from './outcome.ts';
import type { MeasurementModel } from './propagate.ts';
import type { FitProblem } from './ratio-fit.ts';
import { roundedWeights, weightingColumns } from './weights.ts';

/** The measurement model of an internal resistance: r = Σ w·(l0 - l) / Σ w·(l + α)/R, with the weights of the fit. */

export function loadProblem(
  inputs: LoadInputs,
  effects: readonly Effect[],
  bench: BenchKnowledge,
): FitProblem {
  return {
    sets: inputs.entries.map(({ set, l0At, lAt, loadAt }) => ({
      upper: withTurns(set.l0, bench),
      lower: withTurns(set.l, bench),
      upperAt: l0At,
      lowerAt: lAt,
      offset: 1,
      slope: 1 / set.loadOhm,
      slopeRate: -1 / set.loadOhm ** 2,
      thirdAt: loadAt,
    })),
    columns: weightingColumns(inputs.lengths, effects, sizeOf(inputs)),
    prior: priorEndCorrection(bench),
    widening: 1,
  };
}

export function loadModel(
  inputs: LoadInputs,
  effects: readonly Effect[],
  bench: BenchKnowledge,
  fit: AdoptedFit,
  formulas: Formulas,
): MeasurementModel {
  const weights = roundedWeights(fit.weights);
  const alphaAt = sizeOf(inputs) - 1;
  return {
    formula: formulas.compile(formulaText(inputs)),
    inputs: [
      ...inputs.lengths.map(({ symbol, length }) => ({ symbol, estimate: withTurns(length, bench) })),
      ...inputs.loadsOhm.map((estimate, index) => ({ symbol: `R_${index + 1}`, estimate })),
      { symbol: 'alpha', estimate: priorEndCorrection(bench).valueCm },
    ],
    constants: Object.fromEntries(inputs.entries.map(({ label }, index) => [`w_${label}`, weights[index]])),
    effects: [...effects, ...scatterEffects(fit), endCorrectionEffect(alphaAt, fit.priorCm, bench)],
  };
}

function formulaText({ entries, lengths, loadsOhm }: LoadInputs): string {
  const symbols = entries.map(({ label, l0At, lAt, set }) => ({
    w: `w_${label}`,
    l0: lengths[l0At].symbol,
    l: lengths[lAt].symbol,
    R: `R_${loadsOhm.indexOf(set.loadOhm) + 1}`,
  }));
  if (symbols.length === 1) {
    const [{ l0, l, R }] = symbols;
    return `${R}*((${l0} + alpha)/(${l} + alpha) - 1)`;
  }
  const over = symbols.map(({ w, l0, l }) => `${w}*(${l0} - ${l})`).join(' + ');
  const under = symbols.map(({ w, l, R }) => `${w}*(${l} + alpha)/${R}`).join(' + ');
  return `(${over})/(${under})`;
}

/** R·(l0/l - 1) of one set, end correction not applied. */
export function setResistance(
  { set, l0At, lAt, loadAt }: LoadEntry,
  effects: readonly Effect[],
): LoadResistance {
  const { loadOhm } = set;
  const ratio = set.l0.lengthCm / set.l.lengthCm;
  const steps = effects
    .flatMap((effect) => effect.columns)
    .map(
      (column) =>
        (loadOhm * (column[l0At] - ratio * column[lAt])) / set.l.lengthCm + (ratio - 1) * column[loadAt],
    );
  return { set: set.set, loadOhm, rOhm: loadOhm * (ratio - 1), uROhm: Math.hypot(...steps) };
}
