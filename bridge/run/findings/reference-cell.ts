import type { Bench } from '../../bench/bench-file.ts';
import { isReference } from '../../bench/stated-emf.ts';
import type { Message } from '../../calc-core/message.ts';
import { message } from '../../messages/catalogue.ts';
import type { DeflectionMap, MapPoint } from '../deflection-map.ts';
import type { Procedure } from '../procedure.ts';
import type { Finding, ReferenceCellView } from '../view.ts';

/** A reference cell must not be made to work: its EMF shifts, and stays shifted for hours. */

/** Series resistance below which a reference cell may not be touched; common practice, no source. */
const LEAST_PROTECTION_OHM = 100_000;
/** Current that shifts the EMF even for a moment; common practice, no source. */
const MOST_UA = 100;

export function referenceFindings(
  bench: Bench,
  procedure: Procedure,
  cells: readonly ReferenceCellView[],
  maps: readonly DeflectionMap[],
): Finding[] {
  if (cells.length === 0) return [];
  return [
    ...protection(cells[0].cell, bench.protectiveResistanceOhm),
    ...cells.flatMap(({ cell, trouble }) => unknownEmf(cell, trouble)),
    ...cells.flatMap(({ cell }) => worked(maps, cell)),
    ...(procedure === 'internal-resistance' ? cells.map(({ cell }) => loaded(cell)) : []),
  ];
}

/** Message before the cell is in circuit, so of no cell in particular. */
function protection(cell: number, ohm: number | undefined): Finding[] {
  if (ohm !== undefined && ohm >= LEAST_PROTECTION_OHM) return [];
  const said = message('reference-unprotected', { cell, ohm: ohm ?? null });
  return [{ code: 'protection-too-small', severity: 'stop', ...said }];
}

function unknownEmf(cell: number, trouble: Message | null): Finding[] {
  if (trouble === null) return [];
  const said = message('reference-unknown', { cell, why: trouble });
  return [{ code: 'reference-emf-unknown', severity: 'warn', cell, ...said }];
}

function worked(maps: readonly DeflectionMap[], cell: number): Finding[] {
  const points = maps.flatMap((map) => (map.cell === cell && isReference(map.bench, cell) ? map.points : []));
  const worst = points.reduce<MapPoint | null>(
    (most, point) => (tooMuch(point) && point.sizeUa > (most?.sizeUa ?? 0) ? point : most),
    null,
  );
  if (worst === null) return [];
  const said = message('reference-worked', {
    cell,
    atLeast: worst.saturated,
    microamps: worst.sizeUa.toFixed(0),
    cm: worst.lengthCm.toFixed(1),
  });
  return [{ code: 'reference-cell-worked', severity: 'warn', cell, ...said }];
}

const tooMuch = ({ sizeUa, saturated, protect }: MapPoint): boolean =>
  sizeUa > MOST_UA || (saturated && !protect);

const loaded = (cell: number): Finding => ({
  code: 'reference-cell-worked',
  severity: 'stop',
  cell,
  ...message('reference-loaded', { cell }),
});
