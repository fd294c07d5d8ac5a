import { type AdoptedFit, adoptFit } from './adopted-fit.ts';
import {
  endCorrectionEffect,
  fitFaults,
  type OutcomeOptions,
  outcomeOf,
  scatterEffects,
} from './adopted-outcome.ts';
import type { BenchKnowledge, LoadSet } from './balancing-length.ts';
import type { Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { lengthEffects, type NamedLength, withTurns } from './length-effects.ts';
import { loadLine, polarisation } from './load-tests.ts';
import type { CalculationFault, InternalResistanceOutcome, LoadResistance } from './outcome.ts';
import { plainMean } from './plain-mean.ts';
import type { MeasurementModel } from './propagate.ts';
import type { FitProblem } from './ratio-fit.ts';
import { absentRows, benchFault, lengthFault, senseless } from './usable-lengths.ts';
import { roundedWeights, weightingColumns } from './weights.ts';

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
  const lengths = usable.flatMap(named);
  const size = 3 * usable.length + 1;
  const effects = [...lengthEffects(lengths, bench, size), ...loadEffects(usable, size)];
  const resistances = usable.map((set, index) => setResistance(set, index, usable.length, effects));
  const plain = {
    sets: resistances,
    line: loadLine(usable, effects),
    polarisation: polarisation(usable, effects),
    byTheBook: plainMean(resistances.map((set) => set.rOhm)),
  };
  const fit = adoptFit(problemOf(usable, lengths, effects, bench, size));
  if (fit === null) {
    const text = 'The lengths carry no uncertainty that a fit could weigh them by.';
    return { ...NOTHING, ...plain, faults: [...faults, { code: 'sets-senseless', text }] };
  }
  const model = modelOf(usable, lengths, effects, bench, fit, options.formulas);
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
  const numbers = new Set<number>();
  const usable = sets.filter((set) => {
    const fault = setFault(set, numbers);
    numbers.add(set.set);
    if (fault !== null) faults.push(senseless(set.set, fault));
    return fault === null;
  });
  return { usable, faults };
}

function setFault(set: LoadSet, before: ReadonlySet<number>): string | null {
  if (!(Number.isInteger(set.set) && set.set >= 0)) return 'its number is no whole number';
  if (before.has(set.set)) return 'its number was given before';
  if (!(Number.isFinite(set.loadOhm) && set.loadOhm > 0)) return `its load is ${set.loadOhm} ohm`;
  if (set.uLoadOhm !== null && !(Number.isFinite(set.uLoadOhm) && set.uLoadOhm >= 0)) {
    return `the uncertainty of its load is ${set.uLoadOhm} ohm`;
  }
  const [open, loaded] = [lengthFault(set.l0), lengthFault(set.l)];
  if (open !== null) return `the balancing length with the load out ${open}`;
  return loaded === null ? null : `the balancing length with the load in ${loaded}`;
}

const named = (set: LoadSet): NamedLength[] => [
  { ...lengthOf(set, 'l0', 'load out'), length: set.l0 },
  { ...lengthOf(set, 'l', 'load in'), length: set.l },
];

const lengthOf = (set: LoadSet, symbol: string, state: string) => ({
  symbol: `${symbol}_${set.set}`,
  meaning: `balancing length with the ${state}, set ${set.set}`,
  branch: 'the cell',
  driverMa: set.driverMa,
});

/** Inputs: l0 and l of each set in turn, then the loads, then α. */
const loadAt = (sets: number, index: number): number => 2 * sets + index;

/** Sets with the same load used the same resistor: one error for all of them. */
function loadEffects(sets: readonly LoadSet[], size: number): Effect[] {
  const loads = [...new Set(sets.map((set) => set.loadOhm))];
  return loads.map((loadOhm) => {
    const users = sets.filter((set) => set.loadOhm === loadOhm);
    const u = Math.max(...users.map((set) => set.uLoadOhm ?? 0));
    const column = new Array<number>(size).fill(0);
    for (const user of users) column[loadAt(sets.length, sets.indexOf(user))] = u;
    return {
      symbol: `R_${users.map((set) => set.set).join('_')}`,
      meaning: `load, ${users.length > 1 ? 'sets' : 'set'} ${users.map((set) => set.set).join(', ')}`,
      estimate: loadOhm,
      unit: 'ohm',
      standardUncertainty: u,
      distribution: 'normal',
      dof: Number.POSITIVE_INFINITY,
      columns: [column],
    };
  });
}

function problemOf(
  sets: readonly LoadSet[],
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  bench: BenchKnowledge,
  size: number,
): FitProblem {
  return {
    sets: sets.map((set) => ({
      upper: withTurns(set.l0, bench),
      lower: withTurns(set.l, bench),
      offset: 1,
      slope: 1 / set.loadOhm,
      slopeRate: -1 / set.loadOhm ** 2,
    })),
    columns: weightingColumns(lengths, effects, size),
    thirdAt: loadAt(sets.length, 0),
    prior: bench.endCorrection,
    widening: 1,
  };
}

function modelOf(
  sets: readonly LoadSet[],
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  bench: BenchKnowledge,
  fit: AdoptedFit,
  formulas: Formulas,
): MeasurementModel {
  const weights = roundedWeights(fit.weights);
  const alphaAt = 3 * sets.length;
  return {
    formula: formulas.compile(formulaText(sets)),
    inputs: [
      ...lengths.map(({ symbol, length }) => ({ symbol, estimate: withTurns(length, bench) })),
      ...sets.map((set) => ({ symbol: `R_${set.set}`, estimate: set.loadOhm })),
      { symbol: 'alpha', estimate: bench.endCorrection.valueCm },
    ],
    constants: Object.fromEntries(sets.map((set, index) => [`w_${set.set}`, weights[index]])),
    effects: [...effects, ...scatterEffects(fit), endCorrectionEffect(alphaAt, fit.priorCm, bench)],
  };
}

function formulaText(sets: readonly LoadSet[]): string {
  if (sets.length === 1) {
    const { set } = sets[0];
    return `R_${set}*((l0_${set} + alpha)/(l_${set} + alpha) - 1)`;
  }
  const over = sets.map(({ set }) => `w_${set}*(l0_${set} - l_${set})`).join(' + ');
  const under = sets.map(({ set }) => `w_${set}*(l_${set} + alpha)/R_${set}`).join(' + ');
  return `(${over})/(${under})`;
}

const methodText = (sets: readonly LoadSet[]): string =>
  sets.length === 1
    ? 'One load; the end correction is taken as known before the run.'
    : `Least squares over ${sets.length} sets with errors in lengths and loads and their correlations; the end correction is estimated from the sets together with what was known of it before the run.`;

/** R·(l0/l - 1) of one set, end correction not applied. */
function setResistance(
  set: LoadSet,
  index: number,
  sets: number,
  effects: readonly Effect[],
): LoadResistance {
  const { loadOhm } = set;
  const ratio = set.l0.lengthCm / set.l.lengthCm;
  const third = loadAt(sets, index);
  const steps = effects
    .flatMap((effect) => effect.columns)
    .map(
      (column) =>
        (loadOhm * (column[2 * index] - ratio * column[2 * index + 1])) / set.l.lengthCm +
        (ratio - 1) * column[third],
    );
  return { set: set.set, rOhm: loadOhm * (ratio - 1), uROhm: Math.hypot(...steps) };
}

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
