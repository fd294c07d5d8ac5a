import { dot } from './cholesky.ts';
import type { Effect } from './effects.ts';
import type { Formula, Scope } from './formulas.ts';
import type { BudgetRow } from './outcome.ts';
import { combine, effectiveDof } from './welch-satterthwaite.ts';

/** A measurement model Y = f(X1, X2 ...) with what makes its inputs uncertain (GUM 4.1). */
export interface MeasurementModel {
  formula: Formula;
  inputs: readonly { symbol: string; estimate: number }[];
  /** Symbols of the formula that carry no uncertainty, such as weights. */
  constants: Scope;
  effects: readonly Effect[];
}

export interface Propagated {
  value: number;
  /** Combined standard uncertainty. */
  u: number;
  /** Effective degrees of freedom; Infinity where nothing limits them. */
  dof: number;
  budget: BudgetRow[];
}

export const scopeOf = (model: MeasurementModel): Record<string, number> => ({
  ...model.constants,
  ...Object.fromEntries(model.inputs.map((input) => [input.symbol, input.estimate])),
});

/** Law of propagation of uncertainty, GUM 5.1.2, over independent effects; Welch-Satterthwaite, GUM G.4.1. */
export function propagate(model: MeasurementModel): Propagated {
  const scope = scopeOf(model);
  const sensitivities = model.inputs.map((input) => model.formula.partial(input.symbol, scope));
  const budget = model.effects.map((effect) => budgetRow(effect, sensitivities));
  const parts = budget.map(({ contribution }, index) => ({ contribution, dof: model.effects[index].dof }));
  return { value: model.formula.value(scope), u: combine(parts), dof: effectiveDof(parts), budget };
}

function budgetRow(effect: Effect, sensitivities: readonly number[]): BudgetRow {
  const steps = effect.columns.map((column) => dot(column, sensitivities));
  const contribution = Math.hypot(...steps);
  const u = effect.standardUncertainty;
  // of an effect with several components only the size of the sensitivity has a meaning
  const signed = steps.length === 1 ? steps[0] : contribution;
  return {
    symbol: effect.symbol,
    meaning: effect.meaning,
    estimate: effect.estimate,
    unit: effect.unit,
    standardUncertainty: u,
    distribution: effect.distribution,
    sensitivity: u > 0 ? signed / u : 0,
    contribution,
    dof: Number.isFinite(effect.dof) ? effect.dof : null,
    assumed: false,
  };
}
