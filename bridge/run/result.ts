import type { Bench } from '../bench/bench-file.ts';
import { comparisonWork } from './comparison-work.ts';
import type { RunFold } from './fold.ts';
import type { Procedure } from './procedure.ts';
import { resistanceWork } from './resistance-work.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import { setsOf } from './set-nulls.ts';
import type { RunWork } from './view.ts';
import type { WorkedOut } from './worked-out.ts';

/** Balancing lengths of a run into sets, and sets into the result, for either procedure. */

/** @param seed given, the Monte Carlo check of the interval is made, too */
export function workOut(
  fold: RunFold,
  procedure: Procedure,
  bench: Bench | null,
  used: readonly ResolvedNull[],
  seed?: number,
): WorkedOut {
  if (bench === null) return { work: nothingYet(procedure), lengths: [] };
  const options = { formulas: fold.formulas, seed };
  const found = setsOf(fold, bench, used);
  return procedure === 'emf-comparison'
    ? comparisonWork(fold, bench, found, options)
    : resistanceWork(bench, found, options);
}

const nothingYet = (procedure: Procedure): RunWork =>
  procedure === 'emf-comparison'
    ? { procedure, sets: [], outcome: null, emf: null, wireLines: [] }
    : { procedure, sets: [], outcome: null };
