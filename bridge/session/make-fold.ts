import { loadFormulas } from '../calc-core/formulas.ts';
import type { RecordLine } from '../recording/record.ts';
import { UndoneBenches } from '../run/event-log.ts';
import { RunFold } from '../run/fold.ts';

/** A fold that knows beforehand what is taken back later; `events` are the `!` records of the whole recording. */
export type MakeFold = (events: readonly RecordLine[]) => RunFold;

/** Loads what the calculations need, once, and gives folds from then on. */
export async function foldMaker(): Promise<MakeFold> {
  const formulas = await loadFormulas();
  return (events) => {
    const undone = new UndoneBenches();
    for (const event of events) undone.add(event.payload);
    return new RunFold({ formulas, undoneBenches: undone.numbers });
  };
}
