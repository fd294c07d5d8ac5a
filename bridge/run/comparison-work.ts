import type { Bench } from '../bench/bench-file.ts';
import type { OutcomeOptions } from '../calc-core/averaged-outcome.ts';
import type { ComparisonSet } from '../calc-core/balancing-length.ts';
import { compareEmfs } from '../calc-core/comparison.ts';
import type { ComparisonOutcome } from '../calc-core/outcome.ts';
import { emfByReference } from '../calc-core/reference-cell.ts';
import { knowledgeOf } from './bench-knowledge.ts';
import type { Combined } from './observations.ts';
import { knownCells } from './reference-cells.ts';
import type { SetNulls } from './set-nulls.ts';
import { lengthOf } from './set-nulls.ts';
import type { ComparisonSetView, ComparisonWork, ReferenceCellView } from './view.ts';
import { wireLineOf } from './wire-lines.ts';
import type { WorkedOut } from './worked-out.ts';

/** A set of a comparison: the balancing lengths of both cells, as far as they were found. */
interface Compared extends Pick<SetNulls, 'set' | 'driverMa'> {
  first: Combined | null;
  second: Combined | null;
}

/** Comparison of two EMFs: both cells' lengths of each set, E1/E2, and what a cell of known EMF adds. */
export function comparisonWork(
  bench: Bench,
  references: readonly ReferenceCellView[],
  found: readonly SetNulls[],
  options: OutcomeOptions,
): WorkedOut<ComparisonWork> {
  const compared = found.map(comparedIn);
  const complete = compared.flatMap(completeSet);
  const knowledge = knowledgeOf(bench);
  const outcome = compareEmfs(complete, knowledge, options);
  const sets = compared.map((set) => rowOf(set, outcome));
  const known = knownCells(references);
  const { endCorrectionCm: end } = outcome;
  return {
    work: {
      procedure: 'emf-comparison',
      sets,
      outcome,
      emf: known.length === 1 ? emfByReference(complete, knowledge, known[0], options) : null,
      wireLines: end === null ? [] : sets.flatMap((set) => wireLineOf(set, known, end)),
    },
    lengths: compared.flatMap(({ set, first, second }) => [
      ...(first === null ? [] : [{ set, cell: 1, combined: first }]),
      ...(second === null ? [] : [{ set, cell: 2, combined: second }]),
    ]),
  };
}

/** The sets in which both cells' lengths were found. */
export const comparisonSets = (found: readonly SetNulls[]): ComparisonSet[] =>
  found.map(comparedIn).flatMap(completeSet);

function comparedIn(found: SetNulls): Compared {
  const ofCell = (cell: number) => lengthOf(found, ({ labels }) => labels.cell === cell);
  return { set: found.set, driverMa: found.driverMa, first: ofCell(1), second: ofCell(2) };
}

const completeSet = ({ set, driverMa, first, second }: Compared): ComparisonSet[] =>
  first === null || second === null ? [] : [{ set, driverMa, l1: first.length, l2: second.length }];

function rowOf({ set, driverMa, first, second }: Compared, outcome: ComparisonOutcome): ComparisonSetView {
  const found = outcome.sets.find((one) => one.set === set);
  return {
    set,
    driverMa,
    l1Cm: first?.length.lengthCm ?? null,
    u1Cm: first?.uCm ?? null,
    uRead1Cm: first?.uReadCm ?? null,
    l2Cm: second?.length.lengthCm ?? null,
    u2Cm: second?.uCm ?? null,
    uRead2Cm: second?.uReadCm ?? null,
    ratio: found?.ratio ?? null,
    uRatio: found?.uRatio ?? null,
  };
}
