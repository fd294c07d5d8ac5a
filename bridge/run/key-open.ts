import type { Bench } from '../bench/bench-file.ts';

/**
 * No driver current: the key is open, a lead is off, the driver is flat. One rule for the sets, the connection check and the
 * next step.
 */

/** By the format of the recording an open key is told by less than 5 % of the current before it. */
const SHARE = 0.05;
/** Zero and noise of an ammeter channel keep within so many counts (common practice, no source). */
const COUNTS = 5;

/** What would flow with the wire alone in the driver's circuit, in mA; 0 where the bench file states no driver. */
export const fullCurrentMa = ({ driver, wire }: Bench): number =>
  driver === undefined ? 0 : (1000 * driver.emfV) / wire.resistanceOhm;

/**
 * Driver current in mA, either way, up to which there is none. Before any has been held it is measured by the full current:
 * less than 5 % of that drops so little along the whole wire that it balances no cell.
 * @param stepMa what one count of the driver channel is worth; 0 for an ammeter read by eye
 * @param levelMa as held last; null before the first
 * @param fullMa as `fullCurrentMa` gives it
 */
export const openUpToMa = (stepMa: number, levelMa: number | null, fullMa: number): number =>
  levelMa === null ? Math.max(COUNTS * stepMa, SHARE * fullMa) : SHARE * Math.abs(levelMa);
