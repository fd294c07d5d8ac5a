import type { FullKnowledge } from './assumed-sizes.ts';
import type { AveragingTask, Conversion } from './averaged-outcome.ts';
import type { ComparisonSet } from './balancing-length.ts';
import type { Effect } from './effects.ts';
import { lengthEffects, type NamedLength, withTurns } from './length-effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { Outcome } from './outcome.ts';

/** The measurement model of a comparison: E1/E2 = Σ w·(l1 + α) / Σ w·(l2 + α), with the weights of the fit. */

/** What is made of the ratio E1/E2, if anything, with the help of one more input. */
export interface ComparisonPurpose {
  quantity: Pick<Outcome, 'quantity' | 'unit'>;
  factor: {
    symbol: string;
    meaning: Message;
    value: number;
    u: number;
    unit: string;
    /** The quantity is the factor times the ratio, or the factor over the ratio. */
    ratio: 'times' | 'over';
  } | null;
}

/** l1 and l2 of a set. */
export const namedLengths = (set: ComparisonSet): NamedLength[] =>
  ([1, 2] as const).map((cell) => ({
    symbol: `l_${cell}_${set.set}`,
    meaning: message('row-length', { cell, set: set.set }),
    length: cell === 1 ? set.l1 : set.l2,
    cell,
    driverMa: set.driverMa,
  }));

/** Inputs of the model: l1 and l2 of each set in turn. */
export function comparisonTask(
  sets: readonly ComparisonSet[],
  bench: FullKnowledge,
  { quantity, factor }: ComparisonPurpose,
): AveragingTask {
  const lengths = sets.flatMap(namedLengths);
  return {
    quantity,
    sets: sets.map((set, index) => ({
      set: set.set,
      upper: withTurns(set.l1, bench),
      lower: withTurns(set.l2, bench),
      upperAt: 2 * index,
      lowerAt: 2 * index + 1,
      offset: 0,
      slope: 1,
      slopeRate: 0,
      thirdAt: 0,
    })),
    lengths,
    effects: lengthEffects(lengths, bench, lengths.length),
    inputs: lengths.map(({ symbol, length }) => ({ symbol, estimate: withTurns(length, bench) })),
    bench,
    formula: formulaText(sets),
    weightNames: sets.map(({ set }) => `w_${set}`),
    method: sets.length === 1 ? message('method-one-set') : message('method-sets', { sets: sets.length }),
    ...(factor === null ? {} : { conversion: conversionBy(factor) }),
  };
}

const sumOver = (sets: readonly ComparisonSet[], cell: 1 | 2): string =>
  sets.map((set) => `w_${set.set}*(l_${cell}_${set.set} + alpha)`).join(' + ');

/** With one set the weight cancels, so it is not written. */
const formulaText = (sets: readonly ComparisonSet[]): string =>
  sets.length === 1
    ? `(l_1_${sets[0].set} + alpha)/(l_2_${sets[0].set} + alpha)`
    : `(${sumOver(sets, 1)})/(${sumOver(sets, 2)})`;

function conversionBy(factor: NonNullable<ComparisonPurpose['factor']>): Conversion {
  const { symbol, meaning, value, u, unit, ratio } = factor;
  const input: Effect = {
    symbol,
    meaning,
    estimate: value,
    unit,
    standardUncertainty: u,
    distribution: 'normal',
    dof: Number.POSITIVE_INFINITY,
    columns: [],
  };
  return ratio === 'times'
    ? {
        value: (theta) => value * theta,
        rate: () => value,
        byInput: (theta) => theta,
        formula: (theta) => `${symbol}*(${theta})`,
        input,
      }
    : {
        value: (theta) => value / theta,
        rate: (theta) => -value / theta ** 2,
        byInput: (theta) => 1 / theta,
        formula: (theta) => `${symbol}/(${theta})`,
        input,
      };
}
