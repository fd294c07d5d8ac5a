/** The calculations as a library: `tenwire/calc-core`. docs/uncertainty.md says how results come about. */
export type { OutcomeOptions } from './averaged-outcome.ts';
export type * from './balancing-length.ts';
export { compareEmfs } from './comparison.ts';
export { loadFormulas } from './formulas.ts';
export { internalResistance } from './internal-resistance.ts';
export type * from './outcome.ts';
export type { Plan, PlanAnswer, PlanRequest } from './plan.ts';
export { planRun } from './plan.ts';
export type { ReferenceCell } from './reference-cell.ts';
export { emfByReference } from './reference-cell.ts';
export { plusMinus, resultText, roundTogether } from './rounding.ts';
