import type { ReferenceCell } from '../calc-core/reference-cell.ts';
import { wireLine } from '../calc-core/reference-cell.ts';
import type { ComparisonSetView, WireLineView } from './view.ts';

/** No end is known better than this, and a point without any uncertainty would leave the others no weight. */
const LEAST_U_CM = 1e-6;

/**
 * The wire as a measure of voltage at the current of one set: through the place where it is zero, the end correction
 * before A, and the nulls of the cells of known EMF. Empty without such a null.
 */
export function wireLineOf(
  { set, driverMa, l1Cm, u1Cm, l2Cm, u2Cm }: ComparisonSetView,
  known: readonly ReferenceCell[],
  end: { value: number; u: number },
): WireLineView[] {
  const nulls = known.flatMap(({ cell, emfV, uEmfV }) => {
    const [lengthCm, uLengthCm] = cell === 1 ? [l1Cm, u1Cm] : [l2Cm, u2Cm];
    return lengthCm === null || uLengthCm === null ? [] : [{ lengthCm, uLengthCm, emfV, uEmfV }];
  });
  if (nulls.length === 0) return [];
  const uLengthCm = Math.max(end.u, LEAST_U_CM);
  const zero = { lengthCm: -end.value, uLengthCm, emfV: 0, uEmfV: 0 };
  const line = wireLine([zero, ...nulls]);
  return line === null ? [] : [{ set, driverMa, ...line }];
}
