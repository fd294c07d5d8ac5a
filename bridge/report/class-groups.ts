import {
  betweenStatistic,
  type Precision,
  precisionOf,
  withinStatistic,
} from '../calc-core/interlaboratory.ts';
import { median } from '../calc-core/median.ts';
import type { Message } from '../calc-core/message.ts';
import type { IntervalCheck, Outcome } from '../calc-core/outcome.ts';
import { cochranTest, grubbsTest, type OutlierTest } from '../calc-core/outliers.ts';
import { plainMean } from '../calc-core/plain-mean.ts';
import { algorithmA } from '../calc-core/robust-mean.ts';
import { message } from '../messages/catalogue.ts';
import type { RunView } from '../run/view.ts';

/**
 * What a class found: results of the same measurand stand in one group, each compared with the others. Nothing is dropped from a
 * group but a recording that was given twice.
 */

export interface ClassRun {
  /** The recording's name. */
  file: string;
  view: RunView;
}

/** A result of one run: E1/E2 or r, or the EMF of the cell that a reference cell measured. */
export interface ClassResult {
  run: ClassRun;
  result: Outcome;
  check: IntervalCheck | null;
  /** The recording that this one is a copy of; it counts no more in the group. */
  copyOf: string | null;
  /** Against the others of the group; null where there are none. */
  others: { off: number; offPerU: number } | null;
  /** (x - X)/sqrt(U^2 + U_X^2) against the stated value (ISO 13528:2015, 9.7); null where none is stated. */
  en: number | null;
}

export interface ClassBench {
  name: string;
  /** Results of its runs. */
  values: number[];
  mean: number;
  standardDeviation: number | null;
  /** Mandel's statistics (ISO 5725-2); null where the runs are too few to tell. */
  h: number | null;
  k: number | null;
}

export interface ClassGroup {
  /** What was measured, such as `E1/E2, Leclanché over Daniell`. */
  measurand: Message;
  quantity: Outcome['quantity'];
  unit: Outcome['unit'];
  results: ClassResult[];
  benches: ClassBench[];
  /** The value of the class, without weights. */
  centre: Centre;
  /** Of single results about their mean; null for one. */
  standardDeviation: number | null;
  precision: Precision;
  /** A bench whose runs spread more than the others' (Cochran), and a bench that lies off (Grubbs). */
  spreadTest: OutlierTest | null;
  meanTest: OutlierTest | null;
}

/** A value stated for a measurand, with its expanded uncertainty at 95 %. */
export interface StatedValue {
  value: number;
  U: number;
}

export interface Centre {
  value: number;
  by: 'algorithm A' | 'median';
  /** Robust, with algorithm A; else null. */
  robustStandardDeviation: number | null;
}

/** From so many results on algorithm A is worth more than the median. */
const LEAST_FOR_ALGORITHM_A = 8;

/** Of at least one value. */
export function centreOf(values: readonly number[]): Centre {
  if (values.length < LEAST_FOR_ALGORITHM_A)
    return { value: median(values), by: 'median', robustStandardDeviation: null };
  const { mean, standardDeviation } = algorithmA(values);
  return { value: mean, by: 'algorithm A', robustStandardDeviation: standardDeviation };
}

/** Groups in the order in which they first occur. `stated` belongs to the one group that there is, else to none. */
export function classGroups(runs: readonly ClassRun[], stated: StatedValue | null = null): ClassGroup[] {
  const found = runs.flatMap(resultsOf);
  const measurands = [...new Map(found.map(({ measurand }) => [measurand.text, measurand])).values()];
  const reference = measurands.length === 1 ? stated : null;
  return measurands.map((measurand) =>
    groupOf(
      measurand,
      found.filter((one) => one.measurand.text === measurand.text),
      reference,
    ),
  );
}

interface Found extends Pick<ClassResult, 'run' | 'result' | 'check'> {
  measurand: Message;
}

function resultsOf(run: ClassRun): Found[] {
  const { work } = run.view;
  const outcomes = [work.outcome, work.procedure === 'emf-comparison' ? work.emf : null];
  return outcomes.flatMap((outcome) =>
    outcome === null || outcome.result === null
      ? []
      : [
          {
            run,
            result: outcome.result,
            check: outcome.check,
            measurand: measurandOf(run.view, outcome.result),
          },
        ],
  );
}

/** Cells go by their labels; cells without labels belong to their bench, and are no other bench's. */
export function measurandOf(
  { bench, nulls }: Pick<RunView, 'bench' | 'nulls'>,
  { quantity }: Outcome,
): Message {
  const label = (cell: 1 | 2) =>
    bench?.cells?.[cell]?.label ??
    message('cell-of-bench', { cell, bench: bench?.name ?? message('bench-unknown') });
  if (quantity === 'E1/E2') return message('measurand-ratio', { first: label(1), second: label(2) });
  if (quantity === 'r')
    return message('measurand-resistance', {
      cell: label(nulls.find(({ used }) => used)?.cell === 2 ? 2 : 1),
    });
  return message('measurand-emf', { cell: label(quantity === 'E1' ? 1 : 2) });
}

function groupOf(measurand: Message, found: readonly Found[], stated: StatedValue | null): ClassGroup {
  const originals = new Map<string, Found>();
  for (const one of found) if (!originals.has(runKey(one))) originals.set(runKey(one), one);
  const counted = [...originals.values()];
  const values = counted.map(({ result }) => result.value);
  const benches = benchesOf(counted);
  const perBench = benches.map((bench) => bench.values);
  return {
    measurand,
    quantity: found[0].result.quantity,
    unit: found[0].result.unit,
    results: found.map((one) => comparedWith(one, originals, stated)),
    benches,
    centre: centreOf(values),
    standardDeviation: plainMean(values).standardDeviation,
    precision: precisionOf(perBench),
    spreadTest: cochranTest(perBench),
    meanTest: grubbsTest(benches.map(({ mean }) => mean)),
  };
}

/** A recording that was copied keeps its head, its times and its digits. */
const runKey = ({ run: { view }, result }: Found): string =>
  JSON.stringify([view.about, view.bench?.name, view.durationS, result.value, result.U]);

function comparedWith(
  { run, result, check, ...one }: Found,
  originals: ReadonlyMap<string, Found>,
  stated: StatedValue | null,
): ClassResult {
  const key = runKey({ run, result, check, ...one });
  const original = originals.get(key)?.run ?? run;
  const others = [...originals].filter(([other]) => other !== key).map(([, other]) => other.result.value);
  const off = others.length === 0 ? null : result.value - centreOf(others).value;
  return {
    run,
    result,
    check,
    copyOf: original === run ? null : original.file,
    others: off === null ? null : { off, offPerU: off / result.U },
    en: stated === null ? null : (result.value - stated.value) / Math.hypot(result.U, stated.U),
  };
}

function benchesOf(counted: readonly Found[]): ClassBench[] {
  const byName = new Map<string, number[]>();
  for (const { run, result } of counted) {
    const name = run.view.bench?.name ?? '';
    byName.set(name, [...(byName.get(name) ?? []), result.value]);
  }
  const perBench = [...byName.values()];
  const [h, k] = [betweenStatistic(perBench), withinStatistic(perBench)];
  return [...byName].map(([name, values], index) => {
    const { mean, standardDeviation } = plainMean(values);
    return { name, values, mean, standardDeviation, h: h[index], k: k[index] };
  });
}
