/** Little words that both languages put together the same way. */

interface Place {
  row: number | null;
  scaleCm: number | null;
}

export const length = (cm: number | null): string => (cm === null ? '–' : `${cm.toFixed(1)} cm`);

/** `row 7 at 43.2 cm`, with the language's own words. */
export const at = (place: Place, row: string, on: string): string =>
  `${row} ${place.row ?? '–'} ${on} ${length(place.scaleCm)}`;
