import { isReference } from '../../bench/stated-emf.ts';
import { runTemperatureC } from '../about.ts';
import type { RunFold } from '../fold.ts';
import { referenceCells } from '../reference-cells.ts';
import type { Finding, RunView } from '../view.ts';
import { deflectionMaps, type MapPoint } from './deflection-map.ts';

/** A reference cell must not be made to work: its EMF shifts, and stays shifted for hours. */

/** Series resistance below which a reference cell may not be touched; common practice, no source. */
const LEAST_PROTECTION_OHM = 100_000;
/** Current that shifts the EMF even for a moment; common practice, no source. */
const MOST_UA = 100;

export function referenceFindings(fold: RunFold, procedure: RunView['procedure']): Finding[] {
  const bench = fold.bench?.bench;
  if (bench === undefined) return [];
  const cells = referenceCells(bench, runTemperatureC(fold));
  if (cells.length === 0) return [];
  return [
    ...protection(cells[0].cell, bench.protectiveResistanceOhm),
    ...cells.flatMap(({ cell, trouble }) => unknownEmf(cell, trouble)),
    ...cells.flatMap(({ cell }) => worked(fold, cell)),
    ...(procedure === 'internal-resistance' ? cells.map(({ cell }) => loaded(cell)) : []),
  ];
}

/** Said before the cell is in circuit, so of no cell in particular. */
function protection(cell: number, ohm: number | undefined): Finding[] {
  if (ohm !== undefined && ohm >= LEAST_PROTECTION_OHM) return [];
  const stated = ohm === undefined ? 'none is stated' : `it is ${ohm} ohm`;
  const text = `Cell ${cell} is a reference cell: put a protective resistance of 100 kilohm or more in series and state it in the bench file (${stated}).`;
  return [{ code: 'protection-too-small', severity: 'stop', text }];
}

function unknownEmf(cell: number, trouble: string | null): Finding[] {
  if (trouble === null) return [];
  const text = `The EMF of reference cell ${cell} is not known: ${trouble}`;
  return [{ code: 'reference-emf-unknown', severity: 'warn', cell, text }];
}

function worked(fold: RunFold, cell: number): Finding[] {
  const points = deflectionMaps(fold).flatMap((map) =>
    map.cell === cell && isReference(map.bench, cell) ? map.points : [],
  );
  const worst = points.reduce<MapPoint | null>(
    (most, point) => (tooMuch(point) && point.sizeUa > (most?.sizeUa ?? 0) ? point : most),
    null,
  );
  if (worst === null) return [];
  const size = `${worst.saturated ? 'more than ' : ''}${worst.sizeUa.toFixed(0)} microamperes`;
  const text = `${size} flowed through reference cell ${cell} at ${worst.lengthCm.toFixed(1)} cm from A: its EMF has shifted and comes back only in hours. Let it rest, then compare it with another before it is trusted.`;
  return [{ code: 'reference-cell-worked', severity: 'warn', cell, text }];
}

const tooMuch = ({ sizeUa, saturated, protect }: MapPoint): boolean =>
  sizeUa > MOST_UA || (saturated && !protect);

const loaded = (cell: number): Finding => ({
  code: 'reference-cell-worked',
  severity: 'stop',
  cell,
  text: `Cell ${cell} is a reference cell: no load may be put across it. Its internal resistance can't be measured this way.`,
});
