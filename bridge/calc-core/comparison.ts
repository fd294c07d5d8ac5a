import { type FullKnowledge, fillGaps } from './assumed-sizes.ts';
import {
  type AveragingTask,
  averageSets,
  endCorrectionOf,
  type OutcomeOptions,
  outcomeOf,
} from './averaged-outcome.ts';
import type { BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { causes } from './causes.ts';
import { type ComparisonPurpose, comparisonTask } from './comparison-model.ts';
import { checkInterval } from './interval-check.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { CalculationFault, ComparisonOutcome, Outcome, SetRatio } from './outcome.ts';
import { plainMean } from './plain-mean.ts';
import { uncertaintyOf } from './set-uncertainty.ts';
import { assumedRows, benchFault, lengthFault, sortOut, undrivenSets } from './usable-lengths.ts';

/** Comparison of two EMFs: E1/E2 = (l1 + α)/(l2 + α), α the end correction. */

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
  options: OutcomeOptions,
): ComparisonOutcome =>
  compareWith(sets, bench, options, { quantity: { quantity: 'E1/E2', unit: '1' }, factor: null });

export function compareWith(
  sets: readonly ComparisonSet[],
  bench: BenchKnowledge,
  options: OutcomeOptions,
  purpose: ComparisonPurpose,
): ComparisonOutcome {
  const wrong = benchFault(bench);
  if (wrong !== null) return { ...NOTHING, faults: [{ code: 'sets-senseless', ...wrong }] };
  const { usable, faults } = sortOut(sets, setFault);
  if (usable.length === 0) {
    return { ...NOTHING, faults: [...faults, { code: 'too-few-sets', ...message('no-complete-set') }] };
  }
  const task = comparisonTask(usable, fillGaps(bench), purpose);
  const ratios = usable.map((set, index) => setRatio(set, index, task));
  const plain = {
    sets: ratios,
    byTheBook: plainMean(ratios.map(({ ratio }) => task.conversion?.value(ratio) ?? ratio)),
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
      ...fewSets(usable),
      ...alike(usable),
      ...causes(fit, task.lengths, task.bench),
      ...outside(result, ratios, task),
      ...absences(usable, task.bench),
    ],
  };
}

function setFault(set: ComparisonSet, before: readonly ComparisonSet[]): Message | null {
  if (!(Number.isInteger(set.set) && set.set >= 0)) return message('number-not-whole');
  if (before.some((other) => other.set === set.set)) return message('number-twice');
  const [first, second] = [lengthFault(set.l1), lengthFault(set.l2)];
  if (first !== null) return message('length-of-cell', { cell: 1, fault: first });
  return second === null ? null : message('length-of-cell', { cell: 2, fault: second });
}

/** Plain l1/l2 of one set, end correction not applied; the uncertainty is that of the two lengths with their correlation. */
function setRatio({ set, l1, l2 }: ComparisonSet, index: number, task: AveragingTask): SetRatio {
  const ratio = l1.lengthCm / l2.lengthCm;
  const rates = task.inputs.map((_, at) => (at === 2 * index ? 1 : at === 2 * index + 1 ? -ratio : 0));
  return { set, ratio, uRatio: uncertaintyOf(rates, task) / l2.lengthCm };
}

/** Lengths of one cell that lie within this share of each other were taken at one driver current. */
const ALIKE = 0.03;

function alike(sets: readonly ComparisonSet[]): CalculationFault[] {
  const lengths = sets.map(({ l2 }) => l2.lengthCm);
  const isSpread = Math.max(...lengths) > (1 + ALIKE) * Math.min(...lengths);
  return sets.length === 1 || isSpread ? [] : [{ code: 'too-few-sets', ...message('sets-alike') }];
}

const fewSets = (sets: readonly ComparisonSet[]): CalculationFault[] =>
  sets.length > 1 ? [] : [{ code: 'too-few-sets', ...message('one-set-only') }];

/** The value lies further from every set's own ratio than it is sure of. */
function outside(
  result: Outcome,
  sets: readonly SetRatio[],
  { conversion }: AveragingTask,
): CalculationFault[] {
  const values = sets.map(({ ratio }) => conversion?.value(ratio) ?? ratio);
  const off = Math.max(Math.min(...values) - result.value, result.value - Math.max(...values));
  if (off <= result.U) return [];
  return [
    {
      code: 'result-outside-sets',
      severity: 'warn',
      ...message('result-outside-sets', { off: off.toPrecision(2) }),
    },
  ];
}

const absences = (sets: readonly ComparisonSet[], bench: FullKnowledge): CalculationFault[] => [
  ...assumedRows(
    bench,
    sets.flatMap((set) => [set.l1, set.l2]),
  ),
  ...undrivenSets(sets),
];
