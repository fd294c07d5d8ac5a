import type { Bench } from '../bench/bench-file.ts';
import type { Message } from '../calc-core/message.ts';
import type { ReferenceCell } from '../calc-core/reference-cell.ts';
import type { TemperatureFormula } from '../calc-core/weston-cell.ts';
import { HAMER_1972, OLDER_INTERNATIONAL, westonEmf } from '../calc-core/weston-cell.ts';
import { message } from '../messages/catalogue.ts';
import type { ReferenceCellView } from './view.ts';

/** The bench's cells of known EMF at the temperature of the run. */

const FORMULAS: Record<'hamer-1972' | 'older-international', TemperatureFormula> = {
  'hamer-1972': HAMER_1972,
  'older-international': OLDER_INTERNATIONAL,
};

export const referenceCells = (bench: Bench, runTemperatureC: number | null): ReferenceCellView[] =>
  ([1, 2] as const).flatMap((cell) => {
    const reference = bench.cells?.[cell === 1 ? '1' : '2']?.reference;
    return reference === undefined ? [] : [{ cell, ...knownAt(reference, runTemperatureC) }];
  });

type Reference = NonNullable<NonNullable<NonNullable<Bench['cells']>['1']>['reference']>;

function knownAt(reference: Reference, runTemperatureC: number | null): Omit<ReferenceCellView, 'cell'> {
  const { emfV, standardUncertaintyV, weston } = reference;
  if (weston === undefined) return { emfV, uEmfV: standardUncertaintyV, weston: null, trouble: null };
  const formula = FORMULAS[weston.formula];
  const temperatureC = weston.temperatureC ?? runTemperatureC;
  const stated = { formula: formula.name, source: formula.source, emf20V: emfV, temperatureC };
  const unknown = (trouble: Message) => ({ emfV: null, uEmfV: null, weston: stated, trouble });
  if (temperatureC === null) return unknown(message('reference-temperature'));
  const found = westonEmf(
    { emf20V: emfV, uEmf20V: standardUncertaintyV, temperatureC, uTemperatureC: weston.standardUncertaintyC },
    formula,
  );
  return found.ok
    ? { emfV: found.emfV, uEmfV: found.uEmfV, weston: stated, trouble: null }
    : unknown({ text: found.text, descriptor: found.descriptor });
}

/** Those whose EMF is known now. */
export const knownCells = (cells: readonly ReferenceCellView[]): ReferenceCell[] =>
  cells.flatMap(({ cell, emfV, uEmfV }) => (emfV === null || uEmfV === null ? [] : [{ cell, emfV, uEmfV }]));
