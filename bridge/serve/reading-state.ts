import type { LiveReading } from '../run/view.ts';

/** How a reading was taken, as one number: a page keeps and draws thousands of them. */

const CONTACT = 1;
const SATURATED = 2;
const PROTECT = 4;
const ROW_UNKNOWN = 8;
const CELL = 16;

export function stateOf(reading: LiveReading): number {
  // Without a contact sense every reading may be a touch: it is shown, and the shape tells.
  const contact = reading.contact === false ? 0 : CONTACT;
  const saturated = reading.saturated ? SATURATED : 0;
  const protect = reading.protect ? PROTECT : 0;
  const rowUnknown = reading.lengthCm === null ? ROW_UNKNOWN : 0;
  return contact | saturated | protect | rowUnknown | ((reading.cell ?? 0) * CELL);
}

/** Fit to be drawn along the wire: in contact, within the span, on a known row. */
export const isOnWire = (state: number): boolean => (state & (CONTACT | SATURATED | ROW_UNKNOWN)) === CONTACT;

export const isProtected = (state: number): boolean => (state & PROTECT) !== 0;

/** The number of the cell; 0 for none. */
export const cellOf = (state: number): number => Math.trunc(state / CELL);
