import type { Procedure } from '../run/procedure.ts';

/** What a student does in a run, in which order, and by which habits. */
export interface StudentTask {
  kind: Procedure;
  /** Rheostat settings in ohm, one for each set. */
  rheostatOhm: readonly number[];
  /** Cells in the order in which they are balanced within a set, such as [1, 2] or [1, 2, 2, 1]. */
  order: readonly (1 | 2)[];
  /** How the fine null is taken. */
  fine: 'sweeps' | 'taps' | 'both';
  /** Passes of a fine sweep, to and fro. */
  passes: number;
  /** Fine taps of one null, half on either side. */
  taps: number;
  sweepHalfCm: number;
  sweepSpeedCmPerS: number;
  /** Time to write a balancing length into the book. */
  writeDownS: number;
  /** The driver key is opened while the rheostat is turned. */
  openKeyBetweenSets: boolean;
  /** Tells the recording which set follows. */
  recordsSets: boolean;
  /** Reads the ammeter aloud at every set. */
  recordsAmmeter: boolean;
  /** Reads the metre scale aloud at every fine null (a board without a position sensor needs it). */
  recordsLengths: boolean;
  /** A cell that may not be worked: never tapped at the ends, first touched where the other cell's null foretells it. */
  referenceCell: { cell: 1 | 2; emfToOther: number } | null;
  /** Load across the cell in ohm, and its standard uncertainty, for internal-resistance work. */
  load: { ohm: number; uOhm: number };
}
