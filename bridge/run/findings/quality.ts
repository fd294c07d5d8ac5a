import type { CalculationFault } from '../../calc-core/outcome.ts';
import type { RunFold } from '../fold.ts';
import type { Combined } from '../observations.ts';
import type { ResolvedNull } from '../resolve-nulls.ts';
import type { SetsAndResult } from '../result.ts';
import type { Finding } from '../view.ts';

/** What the nulls, sets and the result themselves give reason to say. */

/** Half a millimetre: what reading the scale by eye gives (common practice, no source). */
const BY_EYE_CM = 0.05;
/** Drift within a set beyond this share is said. */
const DRIFT = 0.0005;

export function qualityFindings(fold: RunFold, nulls: ResolvedNull[], result: SetsAndResult): Finding[] {
  return [
    ...zeroMoved(fold),
    ...unknownLabels(nulls, result.internalResistance === null),
    ...result.combined.flatMap(({ set, cell, combined }) => [
      ...scatter(set, cell, combined),
      ...sensitivity(set, cell, combined),
    ]),
    ...drift(result),
    ...changedWithinSet(fold, nulls),
    ...((result.comparison ?? result.internalResistance)?.faults.map(asFinding) ?? []),
  ];
}

function zeroMoved(fold: RunFold): Finding[] {
  const bench = fold.bench?.bench;
  const level = fold.detectors[fold.detectors.length - 1]?.zero.latest;
  if (bench === undefined || level === undefined || !level.seen) return [];
  const stated = bench.galvanometer.zeroCounts;
  const off = level.counts - stated;
  if (Math.abs(off) < Math.max(1.5, 4 * level.uCounts)) return [];
  const text =
    `With the jockey lifted the galvanometer reads ${level.counts.toFixed(1)} counts; the bench file says ${stated}. ` +
    'The lifted jockey is believed; set the zero anew in the bench file.';
  return [{ code: 'galvanometer-zero-moved', severity: 'note', text }];
}

function unknownLabels(nulls: ResolvedNull[], comparing: boolean): Finding[] {
  const named = (code: 'row-unknown' | 'cell-unknown', ids: string[], what: string): Finding[] =>
    ids.length === 0
      ? []
      : [
          {
            code,
            severity: 'warn',
            text: `${ids.join(', ')}: the ${what} is not known. Say it, and the null counts.`,
          },
        ];
  const standing = nulls.filter((null_) => null_.rejected === null);
  const cellUnknown = comparing ? standing.filter((null_) => null_.labels.cell === null) : [];
  return [
    ...named(
      'row-unknown',
      standing.filter((null_) => null_.labels.row === null).map((null_) => null_.id),
      'row',
    ),
    ...named(
      'cell-unknown',
      cellUnknown.map((null_) => null_.id),
      'cell',
    ),
  ];
}

function scatter(set: number, cell: number, combined: Combined): Finding[] {
  if (combined.scatter === null) return [];
  const text =
    `Set ${set}, cell ${cell}: its ${combined.nulls.length} nulls scatter by ${(combined.scatter.cm * 10).toFixed(2)} mm, ` +
    `${Math.sqrt(combined.scatter.ratio).toFixed(1)} times what each promises. The uncertainty has been widened; look for a ` +
    'drifting driver, a loose jockey or a dirty wire.';
  return [{ code: 'nulls-scatter', severity: 'warn', set, cell, text }];
}

function sensitivity(set: number, cell: number, { length, nulls }: Combined): Finding[] {
  // What a drifting driver leaves open is no fault of the sensitivity.
  const ofNulls = Object.entries(length.common).filter(([name]) => !name.startsWith('drift'));
  const uCm = Math.hypot(length.uOwnCm, ...ofNulls.map(([, cm]) => cm));
  if (nulls.every((null_) => null_.by === 'eye') || uCm <= BY_EYE_CM) return [];
  const text =
    `Set ${set}, cell ${cell}: the readings tell the null to ${(uCm * 10).toFixed(1)} mm only, no better than the ` +
    'eye on the scale (0.5 mm). Take the protective resistance out, raise the driver current, or sweep more slowly.';
  return [{ code: 'sensitivity-low', severity: 'warn', set, cell, text }];
}

function drift(result: SetsAndResult): Finding[] {
  return [...new Set(result.combined.map(({ set }) => set))].flatMap((set): Finding[] => {
    const currents = result.combined
      .filter((entry) => entry.set === set)
      .flatMap(({ combined }) => combined.nulls)
      .flatMap((null_) => (null_.by === 'eye' || null_.current === null ? [] : [null_.current.mA]));
    if (currents.length < 2) return [];
    const share = (Math.max(...currents) - Math.min(...currents)) / Math.abs(currents[0]);
    if (share < DRIFT) return [];
    const text =
      `Set ${set}: the driver current drifted by ${(share * 100).toFixed(2)} % between its nulls. ` +
      'Lengths are brought to one current; let the driver settle, and take the cells in the order 1-2-2-1.';
    return [{ code: 'driver-drift', severity: 'note', set, text }];
  });
}

/** Sets said by the operator, with a change of the driver current inside one. */
function changedWithinSet(fold: RunFold, nulls: ResolvedNull[]): Finding[] {
  if (fold.driver === null || fold.log.standing('set').length === 0) return [];
  const changes = fold.driver.changesS;
  return [...new Set(nulls.map((null_) => null_.set))].flatMap((set): Finding[] => {
    const times = nulls
      .filter((null_) => null_.set === set && null_.rejected === null)
      .map((null_) => null_.tS);
    const inside = changes.some((tS) => tS > Math.min(...times) && tS < Math.max(...times));
    if (!inside) return [];
    const text = `Set ${set}: the driver current was changed between its nulls. Its lengths are not of one current; begin a new set after each change.`;
    return [{ code: 'driver-changed-within-set', severity: 'warn', set, text }];
  });
}

const SEVERITY: Record<CalculationFault['code'], Finding['severity']> = {
  'too-few-sets': 'warn',
  'sets-senseless': 'warn',
  'end-correction-significant': 'note',
  'ratios-scatter': 'warn',
  'budget-row-absent': 'note',
};

const asFinding = (fault: CalculationFault): Finding => ({
  code: fault.code,
  severity: SEVERITY[fault.code],
  text: fault.text,
});
