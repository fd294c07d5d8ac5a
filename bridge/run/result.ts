import type { Bench } from '../bench/bench-file.ts';
import type { Formulas } from '../calc-core/formulas.ts';
import { comparisonWork } from './comparison-work.ts';
import type { Procedure } from './procedure.ts';
import { resistanceWork } from './resistance-work.ts';
import type { SetNulls } from './set-nulls.ts';
import type { ReferenceCellView, RunWork } from './view.ts';
import type { WorkedOut } from './worked-out.ts';

/** What the calculations read of a run. */
export interface ToWorkOut {
  procedure: Procedure;
  /** Null while no bench is known. */
  bench: Bench | null;
  references: readonly ReferenceCellView[];
  sets: readonly SetNulls[];
}

/**
 * Balancing lengths of the sets, and the result, for either procedure.
 * @param seed given, the Monte Carlo check of the interval is made, too
 */
export function workOut(
  { procedure, bench, references, sets }: ToWorkOut,
  formulas: Formulas,
  seed?: number,
): WorkedOut {
  if (bench === null) return { work: nothingYet(procedure), lengths: [] };
  const options = { formulas, seed };
  return procedure === 'emf-comparison'
    ? comparisonWork(bench, references, sets, options)
    : resistanceWork(bench, sets, options);
}

const nothingYet = (procedure: Procedure): RunWork =>
  procedure === 'emf-comparison'
    ? { procedure, sets: [], outcome: null, emf: null, wireLines: [] }
    : { procedure, sets: [], outcome: null };
