import { loadFormulas } from '../calc-core/formulas.ts';
import type { RecordLine } from '../recording/record.ts';
import { benchesTakenBack } from '../run/event-log.ts';
import { Run } from '../run/run.ts';

/** A run that knows beforehand which bench files are taken back later; `events` are the `!` records of its whole recording. */
export type MakeRun = (events: readonly RecordLine[]) => Run;

/** Loads what the calculations need, once, and makes runs from then on. */
export async function runMaker(): Promise<MakeRun> {
  const formulas = await loadFormulas();
  return (events) =>
    new Run({ formulas, benchesTakenBack: benchesTakenBack(events.map(({ payload }) => payload)) });
}
