import { adoptFit } from './adopted-fit.ts';
import { fitFaults, type OutcomeOptions, outcomeOf } from './adopted-outcome.ts';
import type { BenchKnowledge, LoadSet } from './balancing-length.ts';
import type { Formulas } from './formulas.ts';
import { lengthEffects } from './length-effects.ts';
import { loadEffects, loadInputs, sizeOf } from './load-entries.ts';
import { loadModel, loadProblem, setResistance } from './load-model.ts';
import { loadLine, polarisation } from './load-tests.ts';
import type { CalculationFault, InternalResistanceOutcome } from './outcome.ts';
import { plainMean } from './plain-mean.ts';
import { absentRows, benchFault, lengthFault, senseless } from './usable-lengths.ts';

/**
 * Internal resistance by balancing lengths: l0 with the cell open, l with the load R across it,
 * r = R·((l0 + α)/(l + α) - 1), α the end correction. Several loads are fitted together.
 */

export interface InternalResistanceOptions extends OutcomeOptions {
  formulas: Formulas;
}

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
  options: InternalResistanceOptions,
): InternalResistanceOutcome {
  const wrong = benchFault(bench);
  if (wrong !== null) return { ...NOTHING, faults: [{ code: 'sets-senseless', text: wrong }] };
  const { usable, faults } = sortOut(sets);
  if (usable.length === 0) {
    const text =
      'No set has balancing lengths with the load out and in: r needs one at least, and better several loads.';
    return { ...NOTHING, faults: [...faults, { code: 'too-few-sets', text }] };
  }
  const inputs = loadInputs(usable);
  const effects = [...lengthEffects(inputs.lengths, bench, sizeOf(inputs)), ...loadEffects(inputs)];
  const resistances = inputs.entries.map((entry) => setResistance(entry, effects));
  const plain = {
    sets: resistances,
    line: loadLine(inputs.entries, effects),
    polarisation: polarisation(inputs.entries, effects),
    byTheBook: plainMean(resistances.map((set) => set.rOhm)),
  };
  const fit = adoptFit(loadProblem(inputs, effects, bench));
  if (fit === null) {
    const text = 'The lengths carry no uncertainty that a fit could weigh them by.';
    return { ...NOTHING, ...plain, faults: [...faults, { code: 'sets-senseless', text }] };
  }
  const model = loadModel(inputs, effects, bench, fit, options.formulas);
  const outcome = outcomeOf({ quantity: 'r', unit: 'ohm' }, model, methodText(usable), options);
  return {
    ...plain,
    ...outcome,
    endCorrectionCm: { value: fit.alpha, u: fit.uAlpha },
    faults: [...faults, ...fewLoads(usable), ...fitFaults(fit, bench, BIAS), ...absences(usable, bench)],
  };
}

const BIAS = 'R (l0/l - 1) without it is off.';

function sortOut(sets: readonly LoadSet[]): { usable: LoadSet[]; faults: CalculationFault[] } {
  const faults: CalculationFault[] = [];
  const usable = sets.filter((set, index) => {
    const fault = setFault(set, sets.slice(0, index));
    if (fault !== null) faults.push(senseless(set.set, fault));
    return fault === null;
  });
  return { usable, faults };
}

function setFault(set: LoadSet, before: readonly LoadSet[]): string | null {
  if (!(Number.isInteger(set.set) && set.set >= 0)) return 'its number is no whole number';
  if (!(Number.isFinite(set.loadOhm) && set.loadOhm > 0)) return `its load is ${set.loadOhm} ohm`;
  if (set.uLoadOhm !== null && !(Number.isFinite(set.uLoadOhm) && set.uLoadOhm >= 0)) {
    return `the uncertainty of its load is ${set.uLoadOhm} ohm`;
  }
  if (before.some((other) => other.set === set.set && other.loadOhm === set.loadOhm)) {
    return `it was given before with the same load (${set.loadOhm} ohm)`;
  }
  const [open, loaded] = [lengthFault(set.l0), lengthFault(set.l)];
  if (open !== null) return `the balancing length with the load out ${open}`;
  return loaded === null ? null : `the balancing length with the load in ${loaded}`;
}

const methodText = (sets: readonly LoadSet[]): string =>
  sets.length === 1
    ? 'One load; the end correction is taken as known before the run.'
    : `Least squares over ${sets.length} loads with errors in lengths and loads and their correlations; the end correction is estimated along, from what was known of it before the run.`;

function fewLoads(sets: readonly LoadSet[]): CalculationFault[] {
  if (new Set(sets.map((set) => set.loadOhm)).size > 1) return [];
  const text = 'There is one load only: nothing tests that r stays the same. Take several loads.';
  return [{ code: 'too-few-sets', text }];
}

function absences(sets: readonly LoadSet[], bench: BenchKnowledge): CalculationFault[] {
  const lengths = sets.flatMap((set) => [set.l0, set.l]);
  const rows = absentRows(
    bench,
    lengths,
    sets.some((set) => set.driverMa !== null),
  );
  if (sets.every((set) => set.uLoadOhm !== null)) return rows;
  const text =
    'The budget has no row for the load resistance, because its uncertainty was not stated; it is taken as zero.';
  return [...rows, { code: 'budget-row-absent', text }];
}
