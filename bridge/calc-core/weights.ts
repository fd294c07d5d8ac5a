import { columnAt, type Effect } from './effects.ts';
import type { NamedLength } from './length-effects.ts';

/**
 * Weights of a fit as they stand in its formula: shares of the whole, rounded so that the formula can be worked by hand.
 * Rounded weights are no approximation: the uncertainty is worked out for the weights as they are used.
 */
export const WEIGHT_DECIMALS = 4;

export function roundedWeights(weights: readonly number[]): number[] {
  const whole = weights.reduce((sum, weight) => sum + Math.abs(weight), 0);
  const grain = 10 ** WEIGHT_DECIMALS;
  return weights.map((weight) => Math.round((weight / whole) * grain) / grain);
}

/** Degrees of freedom that the pooled variance of the other lengths is worth beside a length's own. */
const POOL_DOF = 10;

/**
 * Standard uncertainties to weight by. A standard deviation from a few repeats can be tiny by chance and would
 * take all the weight, so it is drawn towards the pooled one by their degrees of freedom; what is known
 * beforehand stays. Only weights use these: the budget keeps each length's own.
 */
function weightingUncertainties(own: readonly { u: number; dof: number }[]): number[] {
  const estimated = own.filter(({ dof }) => Number.isFinite(dof));
  const freedom = estimated.reduce((sum, { dof }) => sum + dof, 0);
  const pooled = estimated.reduce((sum, { u, dof }) => sum + dof * u * u, 0) / (freedom || 1);
  return own.map(({ u, dof }) =>
    Number.isFinite(dof) ? Math.sqrt((dof * u * u + POOL_DOF * pooled) / (dof + POOL_DOF)) : u,
  );
}

/** Columns to weigh by: the first effects are the lengths' own, and estimates of these are steadied. */
export function weightingColumns(
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  size: number,
): number[][] {
  const own = lengths.map(({ length }) => ({ u: length.uOwnCm, dof: length.ownDof }));
  const steadied = weightingUncertainties(own).map((u, index) => columnAt(size, index, u));
  return [...steadied, ...effects.slice(lengths.length).flatMap((effect) => effect.columns)];
}
