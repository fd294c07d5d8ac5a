import type { AdoptedFit } from './adopted-fit.ts';
import { endCorrectionEffect, scatterEffects } from './adopted-outcome.ts';
import type { BenchKnowledge, LoadSet } from './balancing-length.ts';
import type { Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { type NamedLength, withTurns } from './length-effects.ts';
import type { LoadResistance } from './outcome.ts';
import type { MeasurementModel } from './propagate.ts';
import type { FitProblem } from './ratio-fit.ts';
import { roundedWeights, weightingColumns } from './weights.ts';

/** The measurement model of an internal resistance: r = Σ w·(l0 - l) / Σ w·(l + α)/R, with the weights of the fit. */

export const namedLengths = (set: LoadSet): NamedLength[] => [
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
export function loadEffects(sets: readonly LoadSet[], size: number): Effect[] {
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

export function loadProblem(
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

export function loadModel(
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

/** R·(l0/l - 1) of one set, end correction not applied. */
export function setResistance(
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
