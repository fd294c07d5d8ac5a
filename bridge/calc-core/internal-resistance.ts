import { type FullKnowledge, fillGaps } from './assumed-sizes.ts';
import { averageSets, endCorrectionOf, type OutcomeOptions, outcomeOf } from './averaged-outcome.ts';
import type { BenchKnowledge, LoadSet } from './balancing-length.ts';
import { causes } from './causes.ts';
import { checkInterval } from './interval-check.ts';
import { lengthEffects } from './length-effects.ts';
import { loadEffects, loadInputs, sizeOf } from './load-entries.ts';
import { loadTask, setResistance } from './load-model.ts';
import { loadLine, polarisation } from './load-tests.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { CalculationFault, InternalResistanceOutcome, LoadResistance } from './outcome.ts';
import { plainMean } from './plain-mean.ts';
import { assumedRows, benchFault, lengthFault, sortOut, undrivenSets } from './usable-lengths.ts';

/**
 * Internal resistance by balancing lengths: l0 with the cell open, l with the load R across it,
 * r = R·((l0 + α)/(l + α) - 1), α the end correction. Several loads are fitted together.
 */

const NOTHING: Omit<InternalResistanceOutcome, 'faults'> = {
  sets: [],
  line: null,
  polarisation: null,
  byTheBook: null,
  result: null,
  endCorrectionCm: null,
  check: null,
};

/** Sets of open and loaded balancing lengths -> r in ohm with its uncertainty. Never throws, never NaN. */
export function internalResistance(
  sets: readonly LoadSet[],
  bench: BenchKnowledge,
  options: OutcomeOptions,
): InternalResistanceOutcome {
  const wrong = benchFault(bench);
  if (wrong !== null) return { ...NOTHING, faults: [{ code: 'sets-senseless', ...wrong }] };
  const { usable, faults } = sortOut(sets, setFault);
  if (usable.length === 0) {
    return { ...NOTHING, faults: [...faults, { code: 'too-few-sets', ...message('no-complete-load') }] };
  }
  const full = fillGaps(bench);
  const inputs = loadInputs(usable);
  const effects = [...lengthEffects(inputs.lengths, full, sizeOf(inputs)), ...loadEffects(inputs)];
  const task = loadTask(inputs, effects, full, methodOf(usable));
  const resistances = inputs.entries.map((entry) => setResistance(entry, task));
  const plain = {
    sets: resistances,
    line: loadLine(inputs.entries, task),
    polarisation: polarisation(inputs.entries, task),
    byTheBook: plainMean(resistances.map((set) => set.rOhm)),
  };
  const fit = averageSets(task);
  if (fit === null) {
    const unweighed: CalculationFault = { code: 'sets-senseless', ...message('nothing-to-weigh-by') };
    return { ...NOTHING, ...plain, faults: [...faults, unweighed] };
  }
  const result = outcomeOf(task, fit, options);
  return {
    ...plain,
    result,
    check: options.seed === undefined ? null : checkInterval(task, fit, result, options.seed),
    endCorrectionCm: endCorrectionOf(fit),
    faults: [
      ...faults,
      ...fewLoads(usable),
      ...exchanged(resistances),
      ...causes(fit, task.lengths, full),
      ...absences(usable, full),
    ],
  };
}

function setFault(set: LoadSet, before: readonly LoadSet[]): Message | null {
  if (!(Number.isInteger(set.set) && set.set >= 0)) return message('number-not-whole');
  if (!(Number.isFinite(set.loadOhm) && set.loadOhm > 0))
    return message('load-senseless', { ohm: String(set.loadOhm) });
  if (set.uLoadOhm !== null && !(Number.isFinite(set.uLoadOhm) && set.uLoadOhm >= 0)) {
    return message('load-uncertainty-senseless', { ohm: String(set.uLoadOhm) });
  }
  if (before.some((other) => other.set === set.set && other.loadOhm === set.loadOhm)) {
    return message('load-twice', { ohm: set.loadOhm });
  }
  const [open, loaded] = [lengthFault(set.l0), lengthFault(set.l)];
  if (open !== null) return message('open-length', { fault: open });
  return loaded === null ? null : message('loaded-length', { fault: loaded });
}

const methodOf = (sets: readonly LoadSet[]): Message =>
  sets.length === 1 ? message('method-one-load') : message('method-loads', { loads: sets.length });

/** Nothing that a cell can have: below zero by more than its uncertainty. */
const exchanged = (resistances: readonly LoadResistance[]): CalculationFault[] =>
  resistances
    .filter(({ rOhm, uROhm }) => rOhm + 2 * uROhm < 0)
    .map(({ set, loadOhm: ohm }) => ({
      code: 'sets-senseless',
      severity: 'stop',
      ...message('load-exchanged', { set, ohm }),
    }));

function fewLoads(sets: readonly LoadSet[]): CalculationFault[] {
  if (new Set(sets.map((set) => set.loadOhm)).size > 1) return [];
  return [{ code: 'too-few-sets', ...message('one-load-only') }];
}

function absences(sets: readonly LoadSet[], bench: FullKnowledge): CalculationFault[] {
  const lengths = sets.flatMap((set) => [set.l0, set.l]);
  const rows = [...assumedRows(bench, lengths), ...undrivenSets(sets)];
  if (sets.every((set) => set.uLoadOhm !== null)) return rows;
  return [...rows, { code: 'budget-row-absent', ...message('absent-load') }];
}
