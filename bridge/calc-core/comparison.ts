import type { AdoptedFit } from './adopted-fit.ts';
import { fitFaults, type OutcomeOptions, outcomeOf } from './adopted-outcome.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { type ComparisonPurpose, comparisonModel, namedLengths, withFactor } from './comparison-model.ts';
import type { Effect } from './effects.ts';
import type { Formulas } from './formulas.ts';
import { lengthEffects } from './length-effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { CalculationFault, ComparisonOutcome, SetRatio } from './outcome.ts';
import { plainMean } from './plain-mean.ts';
import { absentRows, benchFault, lengthFault, sortOut } from './usable-lengths.ts';

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
  if (wrong !== null) return { ...NOTHING, faults: [{ code: 'sets-senseless', ...wrong }] };
  const { usable, faults } = sortOut(sets, setFault);
  if (usable.length === 0) {
    return { ...NOTHING, faults: [...faults, { code: 'too-few-sets', ...message('no-complete-set') }] };
  }
  const lengths = usable.flatMap(namedLengths);
  const effects = lengthEffects(lengths, bench, lengths.length);
  const ratios = usable.map((set, index) => setRatio(set, index, effects));
  const plain = { sets: ratios, byTheBook: plainMean(ratios.map((set) => worth(set.ratio, purpose.factor))) };
  const fitted = comparisonModel(usable, lengths, effects, bench, options.formulas);
  if (fitted === null) {
    const unweighed: CalculationFault = { code: 'sets-senseless', ...message('nothing-to-weigh-by') };
    return { ...NOTHING, ...plain, faults: [...faults, unweighed] };
  }
  const { fit, model } = fitted;
  const multiplied = withFactor(model, purpose.factor, options.formulas);
  const outcome = outcomeOf(purpose.quantity, multiplied, methodOf(fit), options);
  const off = plainMean(ratios.map((set) => set.ratio)).mean - fit.theta;
  const bias = message('ratio-without-it', { off: off.toPrecision(2) });
  return {
    ...plain,
    ...outcome,
    endCorrectionCm: { value: fit.alpha, u: fit.uAlpha },
    faults: [
      ...faults,
      ...fewSets(usable),
      ...alike(usable),
      ...fitFaults(fit, numbersOf(usable), bench, bias),
      ...absences(usable, bench),
    ],
  };
}

/** What a plain ratio is worth by the book: itself, or an EMF where one of the two is known. */
function worth(ratio: number, factor: ComparisonPurpose['factor']): number {
  if (factor === null) return ratio;
  return factor.ratio === 'times' ? factor.value * ratio : factor.value / ratio;
}

function setFault(set: ComparisonSet, before: readonly ComparisonSet[]): Message | null {
  if (!(Number.isInteger(set.set) && set.set >= 0)) return message('number-not-whole');
  if (before.some((other) => other.set === set.set)) return message('number-twice');
  const [first, second] = [lengthFault(set.l1), lengthFault(set.l2)];
  if (first !== null) return message('length-of-cell', { cell: 1, fault: first });
  return second === null ? null : message('length-of-cell', { cell: 2, fault: second });
}

function methodOf({ weights, widening }: AdoptedFit): Message {
  if (weights.length === 1) return message('method-one-set');
  const method = message('method-sets', { sets: weights.length });
  return widening > 1 ? message('method-widened', { method }) : method;
}

/** Plain l1/l2 of one set, end correction not applied; the uncertainty is that of the two lengths with their correlation. */
function setRatio({ set, l1, l2 }: ComparisonSet, index: number, effects: readonly Effect[]): SetRatio {
  const ratio = l1.lengthCm / l2.lengthCm;
  const steps = effects
    .flatMap((effect) => effect.columns)
    .map((column) => column[2 * index] - ratio * column[2 * index + 1]);
  return { set, ratio, uRatio: Math.hypot(...steps) / l2.lengthCm };
}

const numbersOf = (sets: readonly ComparisonSet[]): number[] => sets.map(({ set }) => set);

/** Lengths of one cell that lie within this share of each other were taken at one driver current. */
const ALIKE = 0.03;

function alike(sets: readonly ComparisonSet[]): CalculationFault[] {
  const lengths = sets.map(({ l2 }) => l2.lengthCm);
  const isSpread = Math.max(...lengths) > (1 + ALIKE) * Math.min(...lengths);
  return sets.length === 1 || isSpread ? [] : [{ code: 'too-few-sets', ...message('sets-alike') }];
}

const fewSets = (sets: readonly ComparisonSet[]): CalculationFault[] =>
  sets.length > 1 ? [] : [{ code: 'too-few-sets', ...message('one-set-only') }];

const absences = (sets: readonly ComparisonSet[], bench: BenchKnowledge): CalculationFault[] =>
  absentRows(
    bench,
    sets.flatMap((set) => [set.l1, set.l2]),
    sets.some((set) => set.driverMa !== null),
  );
