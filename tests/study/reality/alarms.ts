import type { Reality } from './experiment.ts';
import type { EffectName } from './sizes.ts';

/** Whether what a finding names is there. */

export interface Alarm {
  code: string;
  severity: 'stop' | 'warn' | 'note';
}

/** Severity of a calculation's finding that carries none, as the formats page states it. */
const NOTES = new Set(['end-correction-significant', 'budget-row-absent', 'galvanometer-zero-moved']);

export const alarmOf = (fault: { code: string; severity?: Alarm['severity'] }): Alarm => ({
  code: fault.code,
  severity: fault.severity ?? (NOTES.has(fault.code) ? 'note' : 'warn'),
});

/** How few sets there are, and how they lie, is a fact that names no cause of an error. */
const NO_CAUSE = new Set(['too-few-sets', 'result-outside-sets', 'sensitivity-low']);

export const namesCause = ({ code, severity }: Alarm): boolean => severity !== 'note' && !NO_CAUSE.has(code);

const WIRE: readonly EffectName[] = ['walk', 'rows', 'taper', 'kinks', 'strips', 'pins'];
const SCALE: readonly EffectName[] = ['scale', 'edge'];

const ROW_BLUNDERS = new Set(['wrong row', 'digits swapped', 'zero end wrong', 'row said wrong once']);

/** An ordinary size or more of one of these. */
const sized = ({ sizes }: Reality, names: readonly EffectName[], least = 1): boolean =>
  names.some((name) => sizes[name] >= least);

/** A cell that moved by half of U or more. */
const moved = ({ emfChange }: Reality, relativeU: number): boolean => emfChange >= 0.5 * relativeU;

/** @param relativeU U over the value */
export function isThere(code: string, reality: Reality, relativeU: number): boolean {
  const { blunder, jumped, endCm, statement } = reality;
  const disturbed = blunder !== null || jumped;
  switch (code) {
    case 'row-uneven':
      return sized(reality, WIRE);
    case 'cell-changed':
      return jumped || moved(reality, relativeU);
    case 'set-outlying':
    case 'nulls-scatter':
      return disturbed || sized(reality, ['kinks', 'rows', 'walk'], 2);
    case 'calibration-mark-off':
      return sized(reality, SCALE) || blunder === 'mark off by 1 cm';
    case 'zero-end-or-row-wrong':
      return blunder !== null && ROW_BLUNDERS.has(blunder);
    case 'end-correction-significant':
      return Math.abs(endCm) >= 0.5;
    case 'bench-file-contradicted':
      return statement === 'false end';
    case 'ratios-scatter':
      return disturbed || moved(reality, relativeU) || sized(reality, [...WIRE, ...SCALE]);
    case 'driver-drift':
    case 'driver-changed-within-set':
      return sized(reality, ['driver']) || blunder === 'set disturbed';
    default:
      return false;
  }
}
