/** Rounding for print, GUM 7.2.6: the uncertainty to two significant digits, the value to the same decimal place. */

export interface Rounded {
  /** Both with the same number of decimals, fit to stand side by side. */
  value: string;
  uncertainty: string;
  decimals: number;
}

const DIGITS = 2;
/** What may be cut off an uncertainty: 10.47 becomes 11, but 28.05 becomes 28 (the GUM's own examples). */
const MOST_LOST = 0.01;

export function roundTogether(value: number, uncertainty: number): Rounded {
  if (!(uncertainty > 0 && Number.isFinite(uncertainty))) {
    return { value: String(value), uncertainty: String(uncertainty), decimals: 0 };
  }
  const { digits, place } = roundedUncertainty(uncertainty);
  const decimals = Math.max(0, -place);
  return { value: atPlace(value, place), uncertainty: (digits * 10 ** place).toFixed(decimals), decimals };
}

/** The uncertainty as a whole number of units of 10^place. */
function roundedUncertainty(uncertainty: number): { digits: number; place: number } {
  const place = Math.floor(Math.log10(uncertainty)) - DIGITS + 1;
  const exact = Number((uncertainty / 10 ** place).toPrecision(12));
  const nearest = Math.round(exact);
  const digits = exact - nearest > MOST_LOST * exact ? nearest + 1 : nearest;
  const carried = digits === 10 ** DIGITS;
  return carried ? { digits: digits / 10, place: place + 1 } : { digits, place };
}

function atPlace(value: number, place: number): string {
  if (place <= 0) return value.toFixed(-place);
  return (Math.round(value / 10 ** place) * 10 ** place).toFixed(0);
}

/** Such as `1.19542 ± 0.00028`. */
export function withUncertainty(value: number, uncertainty: number): string {
  const rounded = roundTogether(value, uncertainty);
  return `${rounded.value} ± ${rounded.uncertainty}`;
}
