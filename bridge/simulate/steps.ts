import type { RunEvent } from '../run/events.ts';

/**
 * What a hand can be told to do, as plain data. A procedure is a sequence of these; the hand carries
 * them out in time. They pass between mind (procedure), hand and bench.
 */

/** Keys and knobs of the bench. */
export interface Switches {
  /** Driver key. */
  keyClosed: boolean;
  /** Cell that the two-way key puts in circuit: 0 none, 1, 2. */
  cell: 0 | 1 | 2;
  /** Protective resistance in series with the galvanometer. */
  protect: boolean;
  /** Load resistance across the cell. */
  load: boolean;
  /** Resistance of the load; where absent, that of the apparatus. */
  loadOhm?: number;
  rheostatOhm: number;
  /** Extra resistance of the galvanometer's leads: a connection that works loose. */
  leadOhm: number;
}

/**
 * A change of keys or knobs some seconds after the step began, beside what the step itself does. It takes `overS`
 * seconds (none where absent), beyond the step's end if need be.
 */
export interface Meanwhile {
  afterS: number;
  overS?: number;
  switches: Partial<Switches>;
}

export interface Place {
  row: number;
  /** True reading of the metre scale. */
  scaleCm: number;
}

export type Step = (
  | { do: 'wait'; seconds: number }
  | { do: 'press' }
  | { do: 'lift' }
  /**
   * Move the jockey as it is, lifted or down; the row changes halfway. `smooth` starts and stops as an arm does (least jerk),
   * `steady` keeps one speed but for a short start and stop.
   */
  | { do: 'move'; to: Place; seconds: number; profile: 'smooth' | 'steady' }
  /** Keys change halfway through; knobs (`rheostatOhm`, `leadOhm`) turn all the while. */
  | { do: 'turn'; switches: Partial<Switches>; seconds: number }
  /** An operator event in the recording. */
  | { do: 'record'; event: RunEvent }
) & { meanwhile?: readonly Meanwhile[] };

/** All that a student sees: never the truth, never what the board reads. */
export interface Sight {
  /** Needle of the galvanometer, stopped at its full scale. */
  deflectionUa: number;
  /** Ammeter in the driver loop, to its least count. */
  ammeterMa: number;
  /** Metre scale at the jockey, to half a millimetre. */
  scaleCm: number;
}

/** A procedure: asked for a step, told what is seen when the step is done. */
export type Mind = Generator<Step, void, Sight>;

export function* scripted(steps: Iterable<Step>): Mind {
  for (const step of steps) yield step;
}
