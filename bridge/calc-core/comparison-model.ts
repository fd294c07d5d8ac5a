import { type AdoptedFit, adoptFit } from './adopted-fit.ts';
import { endCorrectionEffect, scatterEffects } from './adopted-outcome.ts';
import { type BenchKnowledge, type ComparisonSet, priorEndCorrection } from './balancing-length.ts';
import { columnAt, type Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { type NamedLength, withTurns } from './length-effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { Outcome } from './outcome.ts';
import type { MeasurementModel } from './propagate.ts';
import type { FitProblem } from './ratio-fit.ts';
import { roundedWeights, weightingColumns } from './weights.ts';

/** The measurement model of a comparison: E1/E2 = Σ w·(l1 + α) / Σ w·(l2 + α), with the weights of the fit. */

/** The fit over the usable sets and the measurement model that its weights make. */
interface ComparisonModel {
  fit: AdoptedFit;
  model: MeasurementModel;
}

/** What is made of the ratio E1/E2, if anything, with the help of one more input. */
export interface ComparisonPurpose {
  quantity: Pick<Outcome, 'quantity' | 'unit'>;
  factor: {
    symbol: string;
    meaning: Message;
    value: number;
    u: number;
    unit: string;
    /** The quantity is the factor times the ratio, or the factor over the ratio. */
    ratio: 'times' | 'over';
  } | null;
}

export const namedLengths = (set: ComparisonSet): NamedLength[] =>
  ([1, 2] as const).map((cell) => ({
    symbol: `l_${cell}_${set.set}`,
    meaning: message('row-length', { cell, set: set.set }),
    length: cell === 1 ? set.l1 : set.l2,
    branch: `cell ${cell}`,
    driverMa: set.driverMa,
  }));

/** Inputs of the model: l1 and l2 of each set in turn, then α. Null where nothing can weigh the lengths. */
export function comparisonModel(
  sets: readonly ComparisonSet[],
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  bench: BenchKnowledge,
  formulas: Formulas,
): ComparisonModel | null {
  const fit = adoptFit(problemOf(sets, lengths, effects, bench));
  if (fit === null) return null;
  const weights = roundedWeights(fit.weights);
  const alphaAt = lengths.length;
  const model: MeasurementModel = {
    formula: formulas.compile(formulaText(sets)),
    inputs: [
      ...lengths.map(({ symbol, length }) => ({ symbol, estimate: withTurns(length, bench) })),
      { symbol: 'alpha', estimate: priorEndCorrection(bench).valueCm },
    ],
    constants: Object.fromEntries(sets.map((set, index) => [`w_${set.set}`, weights[index]])),
    effects: [...effects, ...scatterEffects(fit), endCorrectionEffect(alphaAt, fit.priorCm, bench)],
  };
  return { fit, model };
}

function problemOf(
  sets: readonly ComparisonSet[],
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  bench: BenchKnowledge,
): FitProblem {
  return {
    sets: sets.map((set, index) => ({
      upper: withTurns(set.l1, bench),
      lower: withTurns(set.l2, bench),
      upperAt: 2 * index,
      lowerAt: 2 * index + 1,
      offset: 0,
      slope: 1,
      slopeRate: 0,
      thirdAt: 0,
    })),
    columns: weightingColumns(lengths, effects, lengths.length),
    prior: priorEndCorrection(bench),
    widening: 1,
  };
}

const sumOver = (sets: readonly ComparisonSet[], cell: 1 | 2): string =>
  sets.map((set) => `w_${set.set}*(l_${cell}_${set.set} + alpha)`).join(' + ');

/** With one set the weight cancels, so it is not written. */
const formulaText = (sets: readonly ComparisonSet[]): string =>
  sets.length === 1
    ? `(l_1_${sets[0].set} + alpha)/(l_2_${sets[0].set} + alpha)`
    : `(${sumOver(sets, 1)})/(${sumOver(sets, 2)})`;

export function withFactor(
  model: MeasurementModel,
  factor: ComparisonPurpose['factor'],
  formulas: Formulas,
): MeasurementModel {
  if (factor === null) return model;
  const at = model.inputs.length;
  const { symbol, meaning, value, u, unit, ratio } = factor;
  const effect: Effect = {
    symbol,
    meaning,
    estimate: value,
    unit,
    standardUncertainty: u,
    distribution: 'normal',
    dof: Number.POSITIVE_INFINITY,
    columns: [columnAt(at + 1, at, u)],
  };
  return {
    ...model,
    formula: formulas.compile(`${symbol}${ratio === 'times' ? '*' : '/'}(${model.formula.text})`),
    inputs: [...model.inputs, { symbol, estimate: value }],
    effects: [...model.effects, effect],
  };
}
