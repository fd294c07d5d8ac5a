import { plusMinus } from '../calc-core/rounding.ts';
import type { NullView } from '../run/view.ts';

/** One null in a line, as it is found. */
export function nullLine(found: NullView): string {
  const where =
    found.lengthCm === null
      ? `scale ${plusMinus(found.scaleCm, found.uCm, 'cm')}, row unknown`
      : plusMinus(found.lengthCm, found.uCm, 'cm');
  const kind = found.fine ? 'fine' : 'coarse';
  return `${found.id}: set ${found.set ?? '?'}, cell ${found.cell ?? '?'}, ${where} (${kind}, ${found.by})`;
}
