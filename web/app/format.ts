/** Numbers as they are shown. Nothing is computed here that a report would need. */

/** Decimals that show an uncertainty with two significant digits. */
export function decimalsFor(uncertainty: number): number {
  if (!(uncertainty > 0) || !Number.isFinite(uncertainty)) return 2;
  const exponent = Math.floor(Math.log10(uncertainty));
  // 0.0996 rounds up into the next decade: two digits of the rounded value count.
  const rounded = Number(uncertainty.toPrecision(2));
  const decimals = 1 - Math.max(exponent, Math.floor(Math.log10(rounded)));
  return Math.min(9, Math.max(0, decimals));
}

export interface Rounded {
  value: string;
  u: string;
}

/** A value and its uncertainty rounded together: the uncertainty to two significant digits, the value alike. */
export function rounded(value: number, uncertainty: number): Rounded {
  const decimals = decimalsFor(uncertainty);
  return { value: fixed(value, decimals), u: fixed(uncertainty, decimals) };
}

/** Fixed decimals with a true minus sign; a dash for what is not there. */
export function fixed(value: number | null | undefined, decimals: number): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const text = value.toFixed(decimals);
  return text.startsWith('-') ? `−${text.slice(1)}` : text;
}

export const withSign = (value: number, decimals: number): string =>
  value > 0 ? `+${fixed(value, decimals)}` : fixed(value, decimals);

export const plusMinus = (value: number | null, uncertainty: number | null, unit = ''): string => {
  if (value === null) return '–';
  const tail = unit === '' ? '' : ` ${unit}`;
  if (uncertainty === null || !(uncertainty > 0)) return `${fixed(value, 3)}${tail}`;
  const both = rounded(value, uncertainty);
  return `${both.value} ± ${both.u}${tail}`;
};

/** Significant digits without an exponent where that reads better. */
export const significant = (value: number, digits = 4): string => {
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e5 || size < 1e-4) return inPowersOfTen(value, digits);
  return fixed(value, Math.max(0, digits - 1 - Math.floor(Math.log10(size))));
};

const RAISED = '⁰¹²³⁴⁵⁶⁷⁸⁹';

function inPowersOfTen(value: number, digits: number): string {
  const [mantissa, exponent] = value.toExponential(digits - 1).split('e');
  const raised = [...exponent.replace('+', '')].map((sign) => (sign === '-' ? '⁻' : RAISED[Number(sign)]));
  return `${mantissa.replace('-', '−')} × 10${raised.join('')}`;
}

/** Thousands set off by a thin space, as ISO 80000-1 has it. */
export const grouped = (value: number): string => String(value).replace(/\B(?=(\d{3})+$)/g, '\u2009');

/** Minutes and seconds. */
export const clock = (seconds: number): string => {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
};
