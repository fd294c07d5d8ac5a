import { type AdoptedFit, adoptFit } from './adopted-fit.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { dot } from './cholesky.ts';
import { columnAt, type Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { lengthEffects, type NamedLength, withTurns } from './length-effects.ts';
import type { CalculationFault, ComparisonOutcome, Outcome, PlainMean, SetRatio } from './outcome.ts';
import { type MeasurementModel, propagate } from './propagate.ts';
import { coverageFactor } from './student.ts';
import { absentRows, benchFault, lengthFault, senseless } from './usable-lengths.ts';
import { roundedWeights, weightingUncertainties } from './weights.ts';

/** Comparison of two EMFs: E1/E2 = (l1 + α)/(l2 + α), α the end correction. */

export interface ComparisonOptions {
  formulas: Formulas;
  /** Share of the interval, 0.95 unless stated. */
  coverage?: number;
}

const NOTHING: Omit<ComparisonOutcome, 'faults'> = {
  sets: [],
  byTheBook: null,
  result: null,
  endCorrectionCm: null,
  check: null,
};

/** Both cells at several settings of the rheostat -> E1/E2 with its uncertainty. Never throws, never NaN. */
export function compareEmfs(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  options: ComparisonOptions,
): ComparisonOutcome {
  const wrong = benchFault(bench);
  if (wrong !== null) return { ...NOTHING, faults: [{ code: 'sets-senseless', text: wrong }] };
  const { usable, faults } = sortOut(sets);
  if (usable.length === 0) {
    const text =
      'No set has balancing lengths of both cells: E1/E2 needs one at least, and better four or more.';
    return { ...NOTHING, faults: [...faults, { code: 'too-few-sets', text }] };
  }
  const lengths = usable.flatMap(named);
  const effects = modelEffects(lengths, bench);
  const plain = {
    sets: usable.map((set, index) => setRatio(set, index, effects)),
    byTheBook: byTheBook(usable),
  };
  const fit = adoptFit(problemOf(usable, lengths, effects, bench));
  if (fit === null) {
    const text = 'The lengths carry no uncertainty that a fit could weigh them by.';
    return { ...NOTHING, ...plain, faults: [...faults, { code: 'sets-senseless', text }] };
  }
  const result = adopt(usable, lengths, effects, bench, fit, options);
  return {
    ...plain,
    result,
    endCorrectionCm: { value: fit.alpha, u: fit.uAlpha },
    check: null,
    faults: [...faults, ...fitFaults(usable, bench, fit, result), ...absences(usable, bench)],
  };
}

function sortOut(sets: readonly ComparisonSet[]): { usable: ComparisonSet[]; faults: CalculationFault[] } {
  const faults: CalculationFault[] = [];
  const usable = sets.filter((set) => {
    const [first, second] = [lengthFault(set.l1), lengthFault(set.l2)];
    if (first !== null) faults.push(senseless(set.set, `the balancing length of cell 1 ${first}`));
    else if (second !== null) faults.push(senseless(set.set, `the balancing length of cell 2 ${second}`));
    return first === null && second === null;
  });
  return { usable, faults };
}

const named = (set: ComparisonSet): NamedLength[] =>
  ([1, 2] as const).map((cell) => ({
    symbol: `l_${cell}_${set.set}`,
    meaning: `balancing length of cell ${cell}, set ${set.set}`,
    length: cell === 1 ? set.l1 : set.l2,
    branch: `cell ${cell}`,
    driverMa: set.driverMa,
  }));

/** Inputs of the model: all lengths, then α. */
function modelEffects(lengths: readonly NamedLength[], bench: BenchKnowledge): Effect[] {
  return lengthEffects(lengths, bench, lengths.length + 1);
}

function endCorrectionEffect(priorCm: number, bench: BenchKnowledge, size: number): Effect {
  return {
    symbol: 'alpha',
    meaning: 'end correction, as known before the run',
    estimate: bench.endCorrection.valueCm,
    unit: 'cm',
    standardUncertainty: priorCm,
    distribution: 'normal',
    dof: Number.POSITIVE_INFINITY,
    columns: [columnAt(size, size - 1, priorCm)],
  };
}

function scatterEffect(fit: AdoptedFit, size: number): Effect[] {
  if (fit.scatterCm === 0) return [];
  const columns = fit.weights.map((_, index) => columnAt(size, 2 * index, fit.scatterCm));
  return [
    {
      symbol: 'd_scatter',
      meaning: 'scatter between sets beyond the stated uncertainties',
      estimate: 0,
      unit: 'cm',
      standardUncertainty: fit.scatterCm,
      distribution: 't',
      dof: fit.scatterDof,
      columns,
    },
  ];
}

function problemOf(
  sets: readonly ComparisonSet[],
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  bench: BenchKnowledge,
) {
  const weighting = weightingUncertainties(
    lengths.map(({ length }) => ({ u: length.uOwnCm, dof: length.ownDof })),
  );
  // the first effects are the lengths' own
  const columns = effects.flatMap((effect, index) =>
    index < lengths.length ? [columnAt(lengths.length + 1, index, weighting[index])] : effect.columns,
  );
  return {
    sets: sets.map((set) => ({
      upper: withTurns(set.l1, bench),
      lower: withTurns(set.l2, bench),
      offset: 0,
      slope: 1,
      slopeRate: 0,
    })),
    columns,
    thirdAt: lengths.length,
    prior: bench.endCorrection,
    scatterCm: 0,
  };
}

const sumOver = (sets: readonly ComparisonSet[], cell: 1 | 2): string =>
  sets.map((set) => `w_${set.set}*(l_${cell}_${set.set} + alpha)`).join(' + ');

const formulaText = (sets: readonly ComparisonSet[]): string =>
  sets.length === 1
    ? `(l_1_${sets[0].set} + alpha)/(l_2_${sets[0].set} + alpha)`
    : `(${sumOver(sets, 1)})/(${sumOver(sets, 2)})`;

function adopt(
  sets: readonly ComparisonSet[],
  lengths: readonly NamedLength[],
  effects: readonly Effect[],
  bench: BenchKnowledge,
  fit: AdoptedFit,
  options: ComparisonOptions,
): Outcome {
  const size = lengths.length + 1;
  const weights = roundedWeights(fit.weights);
  const model: MeasurementModel = {
    formula: options.formulas.compile(formulaText(sets)),
    inputs: [
      ...lengths.map(({ symbol, length }) => ({ symbol, estimate: withTurns(length, bench) })),
      { symbol: 'alpha', estimate: bench.endCorrection.valueCm },
    ],
    constants:
      sets.length === 1 ? {} : Object.fromEntries(sets.map((set, index) => [`w_${set.set}`, weights[index]])),
    effects: [...effects, ...scatterEffect(fit, size), endCorrectionEffect(fit.priorCm, bench, size)],
  };
  return outcomeOf(model, fit, options);
}

function outcomeOf(model: MeasurementModel, fit: AdoptedFit, options: ComparisonOptions): Outcome {
  const coverage = options.coverage ?? 0.95;
  const { value, u, dof, budget } = propagate(model);
  const k = coverageFactor(coverage, dof);
  return {
    quantity: 'E1/E2',
    unit: '1',
    value,
    u,
    dof: Number.isFinite(dof) ? dof : null,
    k,
    U: k * u,
    coverage,
    method: methodText(fit),
    formula: model.formula.text,
    budget,
  };
}

function methodText(fit: AdoptedFit): string {
  if (fit.weights.length === 1) return 'One set; the end correction is taken as known before the run.';
  const widened =
    fit.scatterCm > 0 ? ' Widened, because the sets scatter more than their uncertainties allow.' : '';
  return `Least squares over ${fit.weights.length} sets with errors in both lengths and their correlations; the end correction is estimated from the sets together with what was known of it before the run.${widened}`;
}

function setRatio(set: ComparisonSet, index: number, effects: readonly Effect[]): SetRatio {
  const [l1, l2] = [set.l1.lengthCm, set.l2.lengthCm];
  const ratio = l1 / l2;
  const variance = effects
    .flatMap((effect) => effect.columns)
    .reduce((sum, column) => sum + (column[2 * index] - ratio * column[2 * index + 1]) ** 2, 0);
  return { set: set.set, ratio, uRatio: Math.sqrt(variance) / l2 };
}

/** Mean and experimental standard deviation of l1/l2, the way textbooks do it. */
function byTheBook(sets: readonly ComparisonSet[]): PlainMean {
  const ratios = sets.map((set) => set.l1.lengthCm / set.l2.lengthCm);
  return plainMean(ratios);
}

/** GUM 4.2.1 and 4.2.2; the shift by the first value keeps the digits of nearly equal ones. */
export function plainMean(values: readonly number[]): PlainMean {
  const n = values.length;
  const shifted = values.map((value) => value - values[0]);
  const mean = shifted.reduce((sum, value) => sum + value, 0) / n;
  const deviations = shifted.map((value) => value - mean);
  return {
    mean: values[0] + mean,
    standardDeviation: n > 1 ? Math.sqrt(dot(deviations, deviations) / (n - 1)) : null,
    n,
  };
}

const absences = (sets: readonly ComparisonSet[], bench: BenchKnowledge): CalculationFault[] =>
  absentRows(
    bench,
    sets.flatMap((set) => [set.l1, set.l2]),
    sets.some((set) => set.driverMa !== null),
  );

function fitFaults(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  fit: AdoptedFit,
  result: Outcome,
): CalculationFault[] {
  const faults: CalculationFault[] = [];
  if (sets.length === 1) {
    faults.push({
      code: 'too-few-sets',
      text: 'There is one set only: nothing tests the end correction or the scatter. Take at least four sets at different driver currents.',
    });
  }
  if (fit.scatterCm > 0) {
    faults.push({
      code: 'ratios-scatter',
      text: `The sets scatter by ${fit.scatterCm.toPrecision(2)} cm more than their uncertainties allow; the result is widened for it. Look for a set that was disturbed.`,
    });
  }
  if (fit.priorWidened) {
    faults.push({
      code: 'end-correction-significant',
      text: `The sets put the end correction at ${fit.alpha.toFixed(2)} cm, which contradicts the bench file (${bench.endCorrection.valueCm} cm with standard uncertainty ${bench.endCorrection.standardUncertaintyCm} cm). Check the joint at A and the scale's zero.`,
    });
  } else if (Math.abs(fit.alpha) > 2 * fit.uAlpha) {
    const off = plainMean(sets.map((set) => set.l1.lengthCm / set.l2.lengthCm)).mean - result.value;
    faults.push({
      code: 'end-correction-significant',
      text: `The end correction is ${fit.alpha.toFixed(2)} cm, more than twice its standard uncertainty ${fit.uAlpha.toFixed(2)} cm; the plain mean of l1/l2 is off by ${off.toPrecision(2)} for want of it.`,
    });
  }
  return faults;
}
