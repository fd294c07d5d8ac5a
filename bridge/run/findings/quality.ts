import type { CalculationFault } from '../../calc-core/outcome.ts';
import { say } from '../../words/words.ts';
import type { RunFold } from '../fold.ts';
import type { Combined } from '../observations.ts';
import type { Procedure } from '../procedure.ts';
import type { ResolvedNull } from '../resolve-nulls.ts';
import type { Finding } from '../view.ts';
import type { SetLength, WorkedOut } from '../worked-out.ts';

/** What the nulls, sets and the result themselves give reason to say. */

/** Half a millimetre: what reading the scale by eye gives (common practice, no source). */
const BY_EYE_CM = 0.05;
/** Drift within a set beyond this share is said. */
const DRIFT = 0.0005;

export function qualityFindings(
  fold: RunFold,
  nulls: ResolvedNull[],
  { work, lengths }: WorkedOut,
): Finding[] {
  return [
    ...zeroMoved(fold),
    ...unknownLabels(nulls, work.procedure),
    ...lengths.flatMap(({ set, cell, combined }) => [
      ...scatter(set, cell, combined),
      ...sensitivity(set, cell, combined),
    ]),
    ...drift(lengths),
    ...changedWithinSet(fold, nulls),
    ...(work.outcome?.faults.map(asFinding) ?? []),
  ];
}

function zeroMoved(fold: RunFold): Finding[] {
  const bench = fold.bench?.bench;
  const level = fold.detectors.current?.detector.zero.latest;
  if (bench === undefined || level === undefined || !level.seen) return [];
  const stated = bench.galvanometer.zeroCounts;
  const off = level.counts - stated;
  if (Math.abs(off) < Math.max(1.5, 4 * level.uCounts)) return [];
  const said = say('zero-off', { counts: level.counts.toFixed(1), statedCounts: String(stated) });
  return [{ code: 'galvanometer-zero-moved', severity: 'note', ...said }];
}

function unknownLabels(nulls: ResolvedNull[], procedure: Procedure): Finding[] {
  const standing = nulls.filter((null_) => null_.rejected === null);
  const cellUnknown =
    procedure === 'emf-comparison' ? standing.filter((null_) => null_.labels.cell === null) : [];
  return [
    ...named(
      'row-unknown',
      standing.filter((null_) => null_.labels.row === null),
    ),
    ...named('cell-unknown', cellUnknown),
  ];
}

const named = (code: 'row-unknown' | 'cell-unknown', nulls: ResolvedNull[]): Finding[] =>
  nulls.length === 0
    ? []
    : [{ code, severity: 'warn', ...say(code, { ids: nulls.map((null_) => null_.id).join(', ') }) }];

function scatter(set: number, cell: number, combined: Combined): Finding[] {
  if (combined.scatter === null) return [];
  const said = say('nulls-apart', {
    set,
    cell,
    nulls: combined.nulls.length,
    mm: (combined.scatter.cm * 10).toFixed(2),
    times: Math.sqrt(combined.scatter.ratio).toFixed(1),
  });
  return [{ code: 'nulls-scatter', severity: 'warn', set, cell, ...said }];
}

function sensitivity(set: number, cell: number, { length, nulls }: Combined): Finding[] {
  // What a drifting driver leaves open is no fault of the sensitivity.
  const ofNulls = Object.entries(length.common).filter(([name]) => !name.startsWith('drift'));
  const uCm = Math.hypot(length.uOwnCm, ...ofNulls.map(([, cm]) => cm));
  if (nulls.every((null_) => null_.by === 'eye') || uCm <= BY_EYE_CM) return [];
  const said = say('no-better-than-eye', { set, cell, mm: (uCm * 10).toFixed(1) });
  return [{ code: 'sensitivity-low', severity: 'warn', set, cell, ...said }];
}

function drift(lengths: readonly SetLength[]): Finding[] {
  return [...new Set(lengths.map(({ set }) => set))].flatMap((set): Finding[] => {
    const currents = lengths
      .filter((entry) => entry.set === set)
      .flatMap(({ combined }) => combined.nulls)
      .flatMap((null_) => (null_.current === null ? [] : [null_.current.mA]));
    if (currents.length < 2) return [];
    const share = (Math.max(...currents) - Math.min(...currents)) / Math.abs(currents[0]);
    if (share < DRIFT) return [];
    const said = say('driver-drifted', { set, percent: (share * 100).toFixed(2) });
    return [{ code: 'driver-drift', severity: 'note', set, ...said }];
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
    return [{ code: 'driver-changed-within-set', severity: 'warn', set, ...say('driver-changed', { set }) }];
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
  severity: SEVERITY[fault.code],
  ...fault,
});
