/** A line of a recording may be four times as long; a bench file with every table filled has a few kilobytes. */
const MOST_EVENT_BYTES = 1 << 18;
/** Deeper than anything that is meant, and far from what a writer of JSON can follow. */
const MOST_NESTED = 64;

export function isNestedTooDeep(value: unknown, most = MOST_NESTED): boolean {
  if (typeof value !== 'object' || value === null) return false;
  return most === 0 || Object.values(value).some((inner) => isNestedTooDeep(inner, most - 1));
}

/** Whether an event can be written to a recording so that it is read back. */
export const fitsRecording = (event: object): boolean =>
  !isNestedTooDeep(event) && new TextEncoder().encode(JSON.stringify(event)).length <= MOST_EVENT_BYTES;
