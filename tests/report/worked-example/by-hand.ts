import type { Given, GivenLength } from './given.ts';
import { round } from './given.ts';

/**
 * The calculation as a person does it: each step from the digits printed in the steps before, with nothing but
 * arithmetic, a square root and an exponential. Nothing of the program's own calculations is used.
 */

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

export function byTheBook({ lengths }: Given) {
  const ratios = pairs(lengths).map(([first, second]) => ({
    set: first.set,
    first,
    second,
    ratio: round(first.lengthCm / second.lengthCm, 7),
  }));
  const n = ratios.length;
  const mean = round(sum(ratios.map(({ ratio }) => ratio)) / n, 7);
  const deviations = ratios.map(({ ratio }) => round(1e6 * (ratio - mean), 1));
  const s = round(Math.sqrt(sum(deviations.map((d) => d * d)) / (n - 1)), 1);
  return { ratios, n, mean, deviations, s, sOfMean: round(s / Math.sqrt(n), 1) };
}

const pairs = (lengths: readonly GivenLength[]): [GivenLength, GivenLength][] =>
  lengths
    .filter(({ cell }) => cell === 1)
    .map((first) => [
      first,
      lengths.find((other) => other.cell === 2 && other.set === first.set) as GivenLength,
    ]);

export function adopted({ lengths }: Given) {
  const terms = lengths.map((length) => ({ length, value: round(length.weight * length.lengthCm, 5) }));
  const of = (cell: 1 | 2) =>
    round(sum(terms.filter(({ length }) => length.cell === cell).map(({ value }) => value)), 5);
  const [over, under] = [of(1), of(2)];
  return { terms, over, under, ratio: round(over / under, 7) };
}

/** Sensitivity coefficients in 10⁻⁴ per cm. */
export function sensitivities({ lengths }: Given, under: number, ratio: number) {
  const each = lengths.map((length) => ({
    length,
    c: round((1e4 * (length.cell === 1 ? 1 : -ratio) * length.weight) / under, 4),
  }));
  const weights = round(sum(lengths.filter(({ cell }) => cell === 1).map(({ weight }) => weight)), 4);
  return { each, weights, alpha: round((1e4 * weights * (1 - ratio)) / under, 4) };
}

type Sensitivities = ReturnType<typeof sensitivities>;

/** |c|·u of every reading, in 10⁻⁶. */
export const readings = ({ each }: Sensitivities) =>
  each.map(({ length, c }) => ({
    name: length.name,
    contribution: round((Math.abs(c) * length.u) / 100, 2),
  }));

export interface Kernel {
  /** Of each length: Σ over the others of what they share with it. */
  rows: { name: string; factor: number; shared: number }[];
  variance: number;
  contribution: number;
}

/** Position: Σ Σ g g' exp(-((x - x')/d)²) with g = ±c by the sense of the row; contribution in 10⁻⁶. */
export function position({ each }: Sensitivities, given: Given): Kernel {
  const g = each.map(({ length, c }) => ({ length, factor: length.sense * c }));
  const rows = g.map(({ length, factor }) => ({
    name: length.name,
    factor,
    shared: round(
      sum(
        g.map((other) => other.factor * likeness(length.scaleCm - other.length.scaleCm, given.correlationCm)),
      ),
      4,
    ),
  }));
  const variance = round(sum(rows.map(({ factor, shared }) => factor * shared)), 4);
  return { rows, variance, contribution: round(100 * given.uPositionCm * Math.sqrt(variance), 2) };
}

export const likeness = (apartCm: number, correlationCm: number): number =>
  Math.exp(-((apartCm / correlationCm) ** 2));

/** Wire: two lengths share short·long·√(short/long), lengths in metres; contribution in 10⁻⁶. */
export function wire({ each }: Sensitivities, given: Given): Kernel {
  const rows = each.map(({ length, c }) => ({
    name: length.name,
    factor: c,
    shared: round(sum(each.map((other) => other.c * together(length.lengthCm, other.length.lengthCm))), 3),
  }));
  const variance = round(sum(rows.map(({ factor, shared }) => factor * shared)), 2);
  // 10⁻⁴ per cm times 100 cm is 10⁻² a metre
  return { rows, variance, contribution: round(1e4 * given.uWire * Math.sqrt(variance), 2) };
}

export function together(oneCm: number, otherCm: number): number {
  const short = Math.min(oneCm, otherCm) / 100;
  const long = Math.max(oneCm, otherCm) / 100;
  return short * long * Math.sqrt(short / long);
}

/** Strips: what all lengths beyond a strip share; contribution in 10⁻⁶. */
export function turns({ each }: Sensitivities, given: Given) {
  const most = Math.max(...each.map(({ length }) => length.row - 1));
  const strips = Array.from({ length: most }, (_, index) => ({
    strip: index + 1,
    beyond: round(sum(each.filter(({ length }) => length.row - 1 > index).map(({ c }) => c)), 4),
  }));
  const variance = round(sum(strips.map(({ beyond }) => beyond * beyond)), 4);
  return { strips, variance, contribution: round(100 * given.uTurnCm * Math.sqrt(variance), 2) };
}

/** Thermal EMFs: the gradient turns microvolts into length, for each cell by itself; contribution in 10⁻⁶. */
export function thermal({ each }: Sensitivities, given: Given) {
  const gradient = (driverMa: number) => round((driverMa * given.wireOhm * 1000) / given.wireCm, 1);
  const rows = each.map(({ length, c }) => {
    const uvPerCm = gradient(length.driverMa);
    return { name: length.name, cell: length.cell, uvPerCm, quotient: round((1000 * c) / uvPerCm, 4) };
  });
  const of = (cell: 1 | 2) =>
    round(sum(rows.filter((row) => row.cell === cell).map(({ quotient }) => quotient)), 4);
  const [first, second] = [of(1), of(2)];
  return { rows, first, second, contribution: round((given.uThermalUv * Math.hypot(first, second)) / 10, 2) };
}

export const alphaContribution = ({ alpha }: Sensitivities, given: Given): number =>
  round(100 * Math.abs(alpha) * given.uAlphaCm, 2);

/** Contributions in 10⁻⁶ to the combined standard uncertainty, in 10⁻⁶. */
export const combined = (contributions: readonly number[]): number =>
  round(Math.sqrt(sum(contributions.map((part) => part * part))), 1);
