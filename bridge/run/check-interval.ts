import type { IntervalCheck } from '../calc-core/outcome.ts';
import { usedNulls } from './build-view.ts';
import type { RunFold } from './fold.ts';
import { workOut } from './result.ts';

/**
 * The Monte Carlo check of a run's interval. It costs some tenths of a second, so the live view goes without; a report asks
 * for it here. The result itself is that of the view in any case: only the check is taken from this second pass.
 */
export function checkInterval(fold: RunFold, seed: number): IntervalCheck | null {
  const { procedure, used } = usedNulls(fold);
  const { work } = workOut(fold, procedure, fold.bench?.bench ?? null, used, seed);
  return work.outcome?.check ?? null;
}
