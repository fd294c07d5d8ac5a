import type { AdoptedFit } from './adopted-fit.ts';
import { fitFaults, type OutcomeOptions, outcomeOf } from './adopted-outcome.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { type ComparisonPurpose, comparisonModel, namedLengths, withFactor } from './comparison-model.ts';
import type { Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { lengthEffects } from './length-effects.ts';
import type { CalculationFault, ComparisonOutcome, SetRatio } from './outcome.ts';
import { plainMean } from './plain-mean.ts';
import { absentRows, benchFault, lengthFault, senseless } from './usable-lengths.ts';

/** Comparison of two EMFs: E1/E2 = (l1 + α)/(l2 + α), α the end correction. */

export interface ComparisonOptions extends OutcomeOptions {
  formulas: Formulas;
}

const NOTHING: Omit<ComparisonOutcome, 'faults'> = {
  sets: [],
  byTheBook: null,
  result: null,
  endCorrectionCm: null,
  check: null,
};

/** Both cells at several settings of the rheostat -> E1/E2 with its uncertainty. Never throws, never NaN. */
export const compareEmfs = (
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  options: ComparisonOptions,
): ComparisonOutcome =>
  compareWith(sets, bench, options, { quantity: { quantity: 'E1/E2', unit: '1' }, factor: null });

export function compareWith(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  options: ComparisonOptions,
  purpose: ComparisonPurpose,
): ComparisonOutcome {
  const wrong = benchFault(bench);
  if (wrong !== null) return { ...NOTHING, faults: [{ code: 'sets-senseless', text: wrong }] };
  const { usable, faults } = sortOut(sets);
  if (usable.length === 0) {
    const text =
      'No set has balancing lengths of both cells: E1/E2 needs one at least, and better four or more.';
    return { ...NOTHING, faults: [...faults, { code: 'too-few-sets', text }] };
  }
  const lengths = usable.flatMap(namedLengths);
  const effects = lengthEffects(lengths, bench, lengths.length);
  const ratios = usable.map((set, index) => setRatio(set, index, effects));
  const plain = { sets: ratios, byTheBook: plainMean(ratios.map((set) => worth(set.ratio, purpose.factor))) };
  const fitted = comparisonModel(usable, lengths, effects, bench, options.formulas);
  if (fitted === null) {
    const text = 'The lengths carry no uncertainty that a fit could weigh them by.';
    return { ...NOTHING, ...plain, faults: [...faults, { code: 'sets-senseless', text }] };
  }
  const { fit, model } = fitted;
  const multiplied = withFactor(model, purpose.factor, options.formulas);
  const outcome = outcomeOf(purpose.quantity, multiplied, methodText(fit), options);
  const off = plainMean(ratios.map((set) => set.ratio)).mean - fit.theta;
  const bias = `The plain mean of l1/l2 leaves it out and differs by ${off.toPrecision(2)}.`;
  return {
    ...plain,
    ...outcome,
    endCorrectionCm: { value: fit.alpha, u: fit.uAlpha },
    faults: [...faults, ...fewSets(usable), ...fitFaults(fit, bench, bias), ...absences(usable, bench)],
  };
}

/** What a plain ratio is worth by the book: itself, or an EMF where one of the two is known. */
function worth(ratio: number, factor: ComparisonPurpose['factor']): number {
  if (factor === null) return ratio;
  return factor.ratio === 'times' ? factor.value * ratio : factor.value / ratio;
}

function sortOut(sets: readonly ComparisonSet[]): { usable: ComparisonSet[]; faults: CalculationFault[] } {
  const faults: CalculationFault[] = [];
  const usable = sets.filter((set, index) => {
    const fault = setFault(set, sets.slice(0, index));
    if (fault !== null) faults.push(senseless(set.set, fault));
    return fault === null;
  });
  return { usable, faults };
}

function setFault(set: ComparisonSet, before: readonly ComparisonSet[]): string | null {
  if (!(Number.isInteger(set.set) && set.set >= 0)) return 'its number is no whole number';
  if (before.some((other) => other.set === set.set)) return 'its number was given before';
  const [first, second] = [lengthFault(set.l1), lengthFault(set.l2)];
  if (first !== null) return `the balancing length of cell 1 ${first}`;
  return second === null ? null : `the balancing length of cell 2 ${second}`;
}

function methodText(fit: AdoptedFit): string {
  if (fit.weights.length === 1) return 'One set; the end correction is taken as known before the run.';
  const widened =
    fit.widening > 1 ? ' Widened, because the sets scatter more than their uncertainties allow.' : '';
  return `Least squares over ${fit.weights.length} sets with errors in both lengths and their correlations; the end correction is estimated from the sets together with what was known of it before the run.${widened}`;
}

/** Plain l1/l2 of one set, end correction not applied; the uncertainty is that of the two lengths with their correlation. */
function setRatio({ set, l1, l2 }: ComparisonSet, index: number, effects: readonly Effect[]): SetRatio {
  const ratio = l1.lengthCm / l2.lengthCm;
  const steps = effects
    .flatMap((effect) => effect.columns)
    .map((column) => column[2 * index] - ratio * column[2 * index + 1]);
  return { set, ratio, uRatio: Math.hypot(...steps) / l2.lengthCm };
}

const fewSets = (sets: readonly ComparisonSet[]): CalculationFault[] =>
  sets.length > 1
    ? []
    : [
        {
          code: 'too-few-sets',
          text: 'There is one set only: nothing tests the end correction or the scatter. Take four or more at different driver currents.',
        },
      ];

const absences = (sets: readonly ComparisonSet[], bench: BenchKnowledge): CalculationFault[] =>
  absentRows(
    bench,
    sets.flatMap((set) => [set.l1, set.l2]),
    sets.some((set) => set.driverMa !== null),
  );
