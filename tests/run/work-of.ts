import type { ComparisonWork, ResistanceWork, RunView } from '../../bridge/run/view.ts';

/** What a run came to that compared two EMFs. Throws for any other. */
export function comparisonOf({ work }: RunView): ComparisonWork {
  if (work.procedure !== 'emf-comparison') throw new RangeError('this run compares no EMFs');
  return work;
}

/** What a run came to that measured an internal resistance. Throws for any other. */
export function resistanceOf({ work }: RunView): ResistanceWork {
  if (work.procedure !== 'internal-resistance') throw new RangeError('this run measures no resistance');
  return work;
}
