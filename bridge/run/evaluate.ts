import type { Formulas } from '../calc-core/formulas.ts';
import type { Message } from '../calc-core/message.ts';
import { runTemperatureC } from './about.ts';
import type { DeflectionMap } from './deflection-map.ts';
import { deflectionMaps } from './deflection-map.ts';
import { measuredCell } from './measured-cell.ts';
import { whyNotUsed } from './observations.ts';
import { DEFAULT_PROCEDURE } from './procedure.ts';
import { referenceCells } from './reference-cells.ts';
import { keepingSame, remembering, sameData } from './remembering.ts';
import { resolveNulls } from './resolve-nulls.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { ToWorkOut } from './result.ts';
import { workOut } from './result.ts';
import type { RunState } from './run-state.ts';
import { benchOf } from './run-state.ts';
import { setsOf } from './set-nulls.ts';
import type { WorkedOut } from './worked-out.ts';

/** What the state of a run comes to: nulls, which of them count and why the others do not, sets and result. */
export interface Evaluation extends ToWorkOut {
  nulls: readonly ResolvedNull[];
  /** The cell whose internal resistance is measured; null in a comparison of EMFs, or where no null names a cell. */
  measured: number | null;
  /** Why a null does not count, in the order of the nulls; null for one that does. */
  whyNot: readonly (Message | null)[];
  worked: WorkedOut;
  /** Where the jockey touched, and which way the galvanometer went; empty while no bench is known. */
  maps: readonly DeflectionMap[];
}

/** For the states of one run. A step whose inputs are the same as before is not done again, and answers the same objects. */
export function runEvaluator(formulas: Formulas): (state: RunState) => Evaluation {
  const nullsOf = remembering(keepingSame(resolveNulls));
  const mapsOf = remembering(deflectionMaps);
  const worked = remembering((input: ToWorkOut) => workOut(input, formulas), sameData);
  return remembering((state) => {
    const { log, events, driver } = state;
    const bench = benchOf(state);
    const procedure = log.last('procedure')?.procedure ?? DEFAULT_PROCEDURE;
    const nulls = nullsOf(state.lengths, state.benches, driver, log, events);
    const measured = procedure === 'internal-resistance' ? measuredCell(nulls) : null;
    const whyNot = nulls.map((nullPoint) => whyNotUsed(nullPoint, procedure, measured));
    const used = nulls.filter((_, at) => whyNot[at] === null);
    const sets = bench === null ? [] : setsOf(used, bench, log);
    const references = bench === null ? [] : referenceCells(bench, runTemperatureC(log));
    const maps = bench === null ? [] : mapsOf(state.evidence, driver, log, events);
    const toWorkOut = { procedure, bench, references, sets };
    return { ...toWorkOut, nulls, measured, whyNot, worked: worked(toWorkOut), maps };
  });
}
