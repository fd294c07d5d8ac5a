import type { Bench } from '../bench/bench-file.ts';
import type { OutcomeOptions } from '../calc-core/averaged-outcome.ts';
import type { LoadSet } from '../calc-core/balancing-length.ts';
import { internalResistance } from '../calc-core/internal-resistance.ts';
import type { CalculationFault, InternalResistanceOutcome } from '../calc-core/outcome.ts';
import { message } from '../messages/catalogue.ts';
import { knowledgeOf } from './bench-knowledge.ts';
import type { Combined } from './observations.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { SetNulls } from './set-nulls.ts';
import { lengthOf } from './set-nulls.ts';
import type { LoadSetView, ResistanceWork } from './view.ts';
import type { SetLength, WorkedOut } from './worked-out.ts';

/** One load of a set: the length under it beside the set's open one, as far as they were found. */
interface Loaded extends Pick<SetNulls, 'set' | 'driverMa'> {
  loadOhm: number | null;
  uLoadOhm: number | null;
  open: Combined | null;
  loaded: Combined | null;
}

/**
 * Internal resistance: in each set the open length goes with the length under each load; a set with several
 * loads gives one row a load.
 */
export function resistanceWork(
  bench: Bench,
  found: readonly SetNulls[],
  options: OutcomeOptions,
): WorkedOut<ResistanceWork> {
  const bySet = found.map(loadedIn);
  const loads = bySet.flat();
  const worked = internalResistance(loads.flatMap(completeLoad), knowledgeOf(bench), options);
  const outcome = { ...worked, faults: [...withoutOhm(loads), ...worked.faults] };
  return {
    work: { procedure: 'internal-resistance', sets: loads.map((load) => rowOf(load, outcome)), outcome },
    lengths: bySet.flatMap(lengthsOf),
  };
}

function loadedIn(found: SetNulls): Loaded[] {
  const { set, driverMa, nulls } = found;
  const open = lengthOf(found, ({ labels }) => !labels.load);
  return loadsOf(nulls).map((loadOhm) => {
    const isUnder = ({ labels }: ResolvedNull) => labels.load && labels.loadOhm === loadOhm;
    const uLoadOhm = nulls.find(isUnder)?.labels.uLoadOhm ?? null;
    return { set, driverMa, loadOhm, uLoadOhm, open, loaded: lengthOf(found, isUnder) };
  });
}

/** Both lengths are there, but nobody said how large the load is. */
function withoutOhm(loads: readonly Loaded[]): CalculationFault[] {
  const sets = loads
    .filter(({ loadOhm, open, loaded }) => loadOhm === null && open !== null && loaded !== null)
    .map(({ set }) => set);
  return sets.length === 0
    ? []
    : [{ code: 'sets-senseless', ...message('load-without-ohm', { sets: sets.join(', ') }) }];
}

/** Loads of a set in the order they were used; a set with none still shows its open length. */
function loadsOf(nulls: readonly ResolvedNull[]): (number | null)[] {
  const loads = [
    ...new Set(
      nulls.filter((nullPoint) => nullPoint.labels.load).map((nullPoint) => nullPoint.labels.loadOhm),
    ),
  ];
  return loads.length === 0 ? [null] : loads;
}

const completeLoad = ({ set, driverMa, loadOhm, uLoadOhm, open, loaded }: Loaded): LoadSet[] =>
  open === null || loaded === null || loadOhm === null
    ? []
    : [{ set, driverMa, loadOhm, uLoadOhm, l0: open.length, l: loaded.length }];

/** The open length of a set once, then those under its loads. */
function lengthsOf(ofSet: readonly Loaded[]): SetLength[] {
  const [{ set, open }] = ofSet;
  return [open, ...ofSet.map(({ loaded }) => loaded)]
    .filter((combined) => combined !== null)
    .map((combined) => ({ set, cell: combined.nulls[0].labels.cell ?? 1, combined }));
}

function rowOf(
  { set, driverMa, loadOhm, open, loaded }: Loaded,
  outcome: InternalResistanceOutcome,
): LoadSetView {
  const found = outcome.sets.find((one) => one.set === set && one.loadOhm === loadOhm);
  return {
    set,
    driverMa,
    loadOhm,
    l0Cm: open?.length.lengthCm ?? null,
    u0Cm: open?.uCm ?? null,
    uRead0Cm: open?.uReadCm ?? null,
    lCm: loaded?.length.lengthCm ?? null,
    uCm: loaded?.uCm ?? null,
    uReadCm: loaded?.uReadCm ?? null,
    rOhm: found?.rOhm ?? null,
    uROhm: found?.uROhm ?? null,
  };
}
