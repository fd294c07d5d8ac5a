import type { Outcome } from '../../calc-core/outcome.ts';

/** The numbers that stand in a result's formula, by symbol: its inputs from the budget, and its constants. */
export const estimatesOf = (result: Outcome): Record<string, number> => ({
  ...Object.fromEntries(result.budget.map((row) => [row.symbol, row.estimate])),
  ...result.constants,
});
