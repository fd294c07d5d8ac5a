import type { Bench } from '../../bench/bench-file.ts';
import { BY_EYE_CM } from '../../bench/by-eye.ts';
import type { CalculationFault } from '../../calc-core/outcome.ts';
import type { Zero } from '../../detect/lifted-level.ts';
import { message } from '../../messages/catalogue.ts';
import type { DriverHistory } from '../driver-history.ts';
import type { Evaluation } from '../evaluate.ts';
import type { Combined } from '../observations.ts';
import { whyNotUsed } from '../observations.ts';
import type { ResolvedNull } from '../resolved-null.ts';
import type { Finding } from '../view.ts';
import type { SetLength } from '../worked-out.ts';

/** What the nulls, sets and the result themselves give reason to say. */

/** Drift within a set beyond this share is said. */
const DRIFT = 0.0005;

export function qualityFindings(
  evaluation: Evaluation,
  zero: Zero | null,
  sensesContact: boolean,
  driver: DriverHistory | null,
): Finding[] {
  const { bench, worked } = evaluation;
  const { work, lengths } = worked;
  return [
    ...(bench === null || zero === null ? [] : zeroMoved(bench, zero, sensesContact)),
    ...unknownLabels(evaluation),
    ...lengths.flatMap(({ set, cell, combined }) => [
      ...scatter(set, cell, combined),
      ...sensitivity(set, cell, combined),
    ]),
    ...ofDriver(driver, lengths),
    ...(work.outcome?.faults.map(asFinding) ?? []),
  ];
}

/** A board that senses no contact takes for the zero what the galvanometer comes back to. */
function zeroMoved(bench: Bench, { counts, uCounts, seen }: Zero, sensesContact: boolean): Finding[] {
  const stated = bench.galvanometer.zeroCounts;
  if (!seen || Math.abs(counts - stated) < Math.max(1.5, 4 * uCounts)) return [];
  const said = message(sensesContact ? 'zero-off' : 'rest-off', {
    counts: counts.toFixed(1),
    statedCounts: String(stated),
  });
  return [{ code: 'galvanometer-zero-moved', severity: 'note', ...said }];
}

function unknownLabels({ nulls, procedure, measured }: Evaluation): Finding[] {
  const wouldCount = nulls.filter((nullPoint) => {
    const { row, cell } = nullPoint.labels;
    const labels = { ...nullPoint.labels, row: row ?? 1, cell: cell ?? measured ?? 1 };
    return whyNotUsed({ ...nullPoint, labels }, procedure, measured) === null;
  });
  const rowUnknown = wouldCount.filter((nullPoint) => nullPoint.labels.row === null);
  const cellUnknown =
    procedure === 'emf-comparison' ? wouldCount.filter((nullPoint) => nullPoint.labels.cell === null) : [];
  return [...named('row-unknown', rowUnknown), ...named('cell-unknown', cellUnknown)];
}

const named = (code: 'row-unknown' | 'cell-unknown', nulls: ResolvedNull[]): Finding[] =>
  nulls.length === 0
    ? []
    : [
        {
          code,
          severity: 'warn',
          ...message(code, { ids: nulls.map((nullPoint) => nullPoint.id).join(', ') }),
        },
      ];

function scatter(set: number, cell: number, combined: Combined): Finding[] {
  if (combined.scatter === null) return [];
  const said = message('nulls-apart', {
    set,
    cell,
    nulls: combined.scatter.nulls,
    mm: (combined.scatter.cm * 10).toFixed(2),
    times: Math.sqrt(combined.scatter.ratio).toFixed(1),
  });
  return [{ code: 'nulls-scatter', severity: 'warn', set, cell, ...said }];
}

function sensitivity(set: number, cell: number, { length, nulls }: Combined): Finding[] {
  // What a drifting driver leaves open is no fault of the sensitivity.
  const ofNulls = Object.entries(length.common).filter(([name]) => !name.startsWith('drift'));
  const uCm = Math.hypot(length.uOwnCm, ...ofNulls.map(([, cm]) => cm));
  if (nulls.every((nullPoint) => nullPoint.by === 'eye') || uCm <= BY_EYE_CM) return [];
  const said = message('no-better-than-eye', { set, cell, mm: (uCm * 10).toFixed(1) });
  return [{ code: 'sensitivity-low', severity: 'warn', set, cell, ...said }];
}

/** Of the nulls that count in each set: a driver current that was changed between them, or that went by itself. */
function ofDriver(driver: DriverHistory | null, lengths: readonly SetLength[]): Finding[] {
  return [...new Set(lengths.map(({ set }) => set))].flatMap((set) => {
    const nulls = lengths.filter((entry) => entry.set === set).flatMap(({ combined }) => combined.nulls);
    return changedBetween(driver, nulls) ? [changed(set)] : drift(set, nulls);
  });
}

const changed = (set: number): Finding => ({
  code: 'driver-changed-within-set',
  severity: 'warn',
  set,
  ...message('driver-changed', { set }),
});

function changedBetween(driver: DriverHistory | null, nulls: readonly ResolvedNull[]): boolean {
  const times = nulls.map((nullPoint) => nullPoint.tS);
  const [first, last] = [Math.min(...times), Math.max(...times)];
  return driver?.changesS.some((tS) => tS > first && tS < last) ?? false;
}

function drift(set: number, nulls: readonly ResolvedNull[]): Finding[] {
  const currents = nulls.flatMap((nullPoint) => (nullPoint.current === null ? [] : [nullPoint.current.mA]));
  if (currents.length < 2) return [];
  const share = (Math.max(...currents) - Math.min(...currents)) / Math.abs(currents[0]);
  if (share < DRIFT) return [];
  const said = message('driver-drifted', { set, percent: (share * 100).toFixed(2) });
  return [{ code: 'driver-drift', severity: 'note', set, ...said }];
}

const SEVERITY: Record<CalculationFault['code'], Finding['severity']> = {
  'too-few-sets': 'warn',
  'sets-senseless': 'warn',
  'end-correction-significant': 'note',
  'row-uneven': 'warn',
  'cell-changed': 'warn',
  'set-outlying': 'warn',
  'result-outside-sets': 'warn',
  'bench-file-contradicted': 'warn',
  'budget-row-absent': 'note',
};

const asFinding = (fault: CalculationFault): Finding => ({
  severity: SEVERITY[fault.code],
  ...fault,
});
