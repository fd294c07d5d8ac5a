import { atLag } from '../detect/lag.ts';
import type { CurrentAt } from './driver-fit.ts';
import type { FoundByBoard, FoundLength } from './run-state.ts';
import type { Labels, TouchLabels } from './switches.ts';
import type { By } from './view.ts';

/** A null as found, in the light of everything known by now: the words that stand, the zero, the lag, the driver current. */
export interface ResolvedNull {
  id: string;
  by: By;
  /** Which bench of the run it was found on, from 0; lag and zero are shared within one. */
  benchIndex: number;
  touch: TouchLabels;
  labels: Labels;
  set: number;
  tS: number;
  /** Board time at which it was balanced; null where nobody knows. */
  atS: number | null;
  scaleCm: number;
  lengthCm: number | null;
  /** +1 where the length grows with the scale reading. */
  sense: 1 | -1;
  /** Variance in cm² of what is this null's own. */
  ownVarianceCm2: number;
  dof: number;
  /** How many cm the length moves when lag or zero grow by one standard uncertainty. */
  lagCm: number;
  zeroCm: number;
  uPositionCm: number;
  current: CurrentAt | null;
  rejected: string | null;
  /** Counts per cm of scale. */
  slope: number | null;
  found: FoundLength;
}

/** Place on the scale at a lag, in cm. Taps are settled: no lag moves them. */
export const rootAt = (fit: FoundByBoard['found']['fit'], lagMs: number): number =>
  fit.by === 'taps' ? fit.rootCm : atLag(fit.rootsCm, lagMs);
