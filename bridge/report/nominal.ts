import type { Bench } from '../bench/bench-file.ts';
import { isReference, statedEmfV, voltmeterUV } from '../bench/stated-emf.ts';
import type { Outcome } from '../calc-core/outcome.ts';
import type { RunView } from '../run/view.ts';

/** A result beside what was known or read otherwise: certificates of reference cells, or the voltmeter. */
export interface NominalComparison {
  /** Where the values compared with come from. */
  by: 'certificates' | 'voltmeter';
  /** EMFs in V: of both cells for E1/E2, else of the one measured. */
  volts: number[];
  nominal: number;
  /** Expanded uncertainty of the nominal value, k = 2; null where the voltmeter's least count is not stated. */
  U: number | null;
  difference: number;
  /** Expanded uncertainty of the difference; null as above. */
  differenceU: number | null;
}

interface Known {
  volts: number;
  u: number | null;
}

/** Null where there is nothing to compare with. */
export function compareWithNominal(
  bench: Bench,
  references: RunView['referenceCells'],
  result: Outcome,
): NominalComparison | null {
  if (result.quantity === 'r') return null;
  const cells =
    result.quantity === 'E1/E2' ? ([1, 2] as const) : ([result.quantity === 'E1' ? 1 : 2] as const);
  const certified = cells.map((cell) => certificateOf(references, cell));
  if (certified.every((known) => known !== null)) return compared('certificates', certified, result);
  const read = cells.map((cell) => readingOf(bench, cell));
  return read.every((known) => known !== null) ? compared('voltmeter', read, result) : null;
}

function certificateOf(references: RunView['referenceCells'], cell: 1 | 2): Known | null {
  const found = references.find((reference) => reference.cell === cell);
  return found === undefined || found.emfV === null ? null : { volts: found.emfV, u: found.uEmfV };
}

function readingOf(bench: Bench, cell: 1 | 2): Known | null {
  const volts = isReference(bench, cell) ? undefined : statedEmfV(bench, cell);
  return volts === undefined ? null : { volts, u: voltmeterUV(bench) };
}

function compared(by: NominalComparison['by'], known: readonly Known[], result: Outcome): NominalComparison {
  const volts = known.map((one) => one.volts);
  const nominal = volts.length === 2 ? volts[0] / volts[1] : volts[0];
  const relative = known.map(({ volts: emf, u }) => (u === null ? null : u / emf));
  const U = relative.every((one) => one !== null) ? 2 * nominal * Math.hypot(...relative) : null;
  const difference = result.value - nominal;
  return { by, volts, nominal, U, difference, differenceU: U === null ? null : Math.hypot(U, result.U) };
}
