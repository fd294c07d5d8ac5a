import type { RunView } from '../../run/view.ts';

/** Which of the bench's cells a run is about: both in a comparison, else those that nulls were found of. */
export function cellsMeasured(view: RunView): ('1' | '2')[] {
  const both = ['1', '2'] as const;
  const found = both.filter((cell) => view.nulls.some((nullPoint) => nullPoint.cell === Number(cell)));
  if (view.work.procedure === 'emf-comparison') return [...both];
  return found.length === 0 ? ['1'] : found;
}
