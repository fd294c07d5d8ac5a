import type { Formulas } from './formula.ts';

export type { Formula, Formulas, Scope } from './formula.ts';

/** The library takes a noticeable part of a start, so only what calculates loads it. */
export const loadFormulas = async (): Promise<Formulas> =>
  (await import('./mathjs-formulas.ts')).mathjsFormulas();
