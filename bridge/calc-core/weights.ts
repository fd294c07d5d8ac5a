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
