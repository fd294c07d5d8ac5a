import type { BudgetRow, Outcome } from './outcome.ts';

/**
 * Numbers for people: page, terminal, record and tables all take them from here. An uncertainty has two significant digits
 * and its value the same decimal place (GUM 7.2.6); in a column all have the decimal place of the smallest uncertainty.
 */

/** Stands for what is not there. */
export const DASH = '–';

export interface Rounded {
  value: string;
  /** A dash where there is none above zero. */
  uncertainty: string;
}

const DIGITS = 2;
/** What may be cut off an uncertainty: 10.47 becomes 11, but 28.05 becomes 28 (the GUM's own examples). */
const MOST_LOST = 0.01;
const MOST_CM_DECIMALS = 4;
/** Of a value without an uncertainty. */
const PLAIN_DECIMALS = 3;
/** Smaller uncertainties are of no use to anybody, and toFixed refuses some of them. */
const FINEST = 15;

const isUncertainty = (u: number | null): u is number => u !== null && u > 0 && Number.isFinite(u);

/** With a true minus sign, and none before a zero. */
export function fixed(value: number | null | undefined, decimals: number): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return DASH;
  const text = value.toFixed(decimals);
  return text.replace('-', Number(text) === 0 ? '' : '−');
}

export const withSign = (value: number, decimals: number): string => {
  const text = fixed(value, decimals);
  return value > 0 && /[1-9]/.test(text) ? `+${text}` : text;
};

/** In units of the decimal place, never less than what `MOST_LOST` allows. */
function unitsAt(uncertainty: number, decimals: number): number {
  const exact = Number((uncertainty * 10 ** decimals).toPrecision(12));
  const nearest = Math.round(exact);
  return exact - nearest > MOST_LOST * exact ? nearest + 1 : nearest;
}

/** Decimals that leave two significant digits of an uncertainty; negative where these are tens or more. */
function decimalsOf(uncertainty: number): number {
  const decimals = Math.min(FINEST, DIGITS - 1 - Math.floor(Math.log10(uncertainty)));
  return unitsAt(uncertainty, decimals) === 10 ** DIGITS ? decimals - 1 : decimals;
}

/** Decimals of a column, so that its smallest uncertainty has two digits; at most `most` of them. */
export function columnDecimals(uncertainties: readonly (number | null)[], most: number): number {
  const known = uncertainties.filter(isUncertainty);
  if (known.length === 0) return Math.min(most, PLAIN_DECIMALS);
  return Math.min(most, Math.max(0, ...known.map(decimalsOf)));
}

/** The number that so many units of a decimal place are. */
const atPlace = (units: number, decimals: number): string =>
  fixed(Number(`${units}e${-decimals}`), Math.max(0, decimals));

/** `decimals` only where a column sets them. */
export function roundTogether(
  value: number | null,
  uncertainty: number | null,
  decimals = isUncertainty(uncertainty) ? decimalsOf(uncertainty) : PLAIN_DECIMALS,
): Rounded {
  return {
    value:
      value === null || decimals >= 0
        ? fixed(value, Math.max(0, decimals))
        : atPlace(Math.round(value * 10 ** decimals), decimals),
    uncertainty: isUncertainty(uncertainty) ? atPlace(unitsAt(uncertainty, decimals), decimals) : DASH,
  };
}

export const plusMinusText = ({ value, uncertainty }: Rounded): string =>
  uncertainty === DASH ? value : `${value} ± ${uncertainty}`;

/** Such as `1.19542 ± 0.00028 V`. */
export function plusMinus(value: number | null, uncertainty: number | null, unit = ''): string {
  if (value === null) return DASH;
  const both = plusMinusText(roundTogether(value, uncertainty));
  return unit === '' ? both : `${both} ${unit}`;
}

/** A unit's symbol; nothing for the unit one. */
export const unitSymbol = (unit: string): string => ({ '1': '', ohm: 'Ω', uV: 'µV' })[unit] ?? unit;

/** A result with its expanded uncertainty and unit. */
export const resultText = ({ value, U, unit }: Pick<Outcome, 'value' | 'U' | 'unit'>): string =>
  plusMinus(value, U, unitSymbol(unit));

/** Degrees of freedom; beyond a thousand Student's t is the normal distribution to the digits that count. */
export const dofText = (dof: number | null): string =>
  dof === null ? '∞' : dof > 1000 ? '> 1000' : fixed(dof, 1);

/** An uncertainty by itself, with the digits that it has beside its value. */
export function uncertaintyText(uncertainty: number): string {
  if (!isUncertainty(uncertainty)) return significant(uncertainty, DIGITS);
  const decimals = decimalsOf(uncertainty);
  return significant(Number(`${unitsAt(uncertainty, decimals)}e${-decimals}`), DIGITS);
}

/** Of lengths in cm: nobody reads finer than a micrometre. */
export const lengthDecimals = (uCm: readonly (number | null)[]): number =>
  columnDecimals(uCm, MOST_CM_DECIMALS);

/** The estimate of an input of the budget, as finely as its uncertainty has sense. */
export function estimateText({ estimate, standardUncertainty: u, unit }: BudgetRow): string {
  if (estimate === 0) return '0';
  return roundTogether(estimate, u, unit === 'cm' ? lengthDecimals([u]) : undefined).value;
}

/** Significant digits, without a power of ten where that reads better. */
export function significant(value: number, digits: number): string {
  const size = Math.abs(value);
  if (size === 0) return '0';
  if (size >= 1e5 || size < 1e-4) return inPowersOfTen(value, digits);
  return fixed(value, Math.max(0, digits - 1 - Math.floor(Math.log10(size))));
}

const RAISED = '⁰¹²³⁴⁵⁶⁷⁸⁹';

function inPowersOfTen(value: number, digits: number): string {
  if (!Number.isFinite(value)) return DASH;
  const [mantissa, exponent] = value.toExponential(digits - 1).split('e');
  const raised = [...exponent.replace('+', '')].map((sign) => (sign === '-' ? '⁻' : RAISED[Number(sign)]));
  return `${mantissa.replace('-', '−')}\u202f×\u202f10${raised.join('')}`;
}
