import { usedNulls } from './build-view.ts';
import type { RunFold } from './fold.ts';
import { workOut } from './result.ts';
import type { RunView } from './view.ts';

/**
 * A run's view with the Monte Carlo check of its intervals (JCGM 101, clause 8): the result's, and that of an EMF by a
 * reference cell. And with the Monte Carlo run's own interval where its ends differ from those of Student's t. It costs some tenths of a second and more, so the live view goes without; a
 * report asks for it here. Values and standard uncertainties are those of the live view.
 */
export function checkedView(fold: RunFold, seed: number): RunView {
  const { procedure, used } = usedNulls(fold);
  const { work } = workOut(fold, procedure, fold.bench?.bench ?? null, used, seed);
  return { ...fold.view(), work };
}
