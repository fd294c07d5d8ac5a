import {
  type BalancingLength,
  type BenchKnowledge,
  priorThermalEmfUv,
  type SensedPlace,
} from './balancing-length.ts';
import type { Matrix } from './cholesky.ts';
import { columnAt, columnsOf, type Effect } from './effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';

/** What makes balancing lengths uncertain, as independent effects. Lengths are the first inputs of the model. */

export interface NamedLength {
  symbol: string;
  meaning: Message;
  length: BalancingLength;
  /** Which cell's leads it was taken through: thermal EMFs belong to them. */
  branch: string;
  driverMa: number | null;
}

/** Number of strips between A and the null; each joins two rows. */
export const turnsOf = (length: BalancingLength, bench: BenchKnowledge): number =>
  length.row === null ? Math.floor(length.lengthCm / bench.rowLengthCm) : length.row - 1;

/** The length with the strips before it counted in, as length of wire in cm. */
export const withTurns = (length: BalancingLength, bench: BenchKnowledge): number =>
  length.lengthCm + turnsOf(length, bench) * (bench.turnCorrectionCm?.valueCm ?? 0);

/** Every effect on `lengths`, columns over `size` inputs of which the lengths are the first. */
export function lengthEffects(
  lengths: readonly NamedLength[],
  bench: BenchKnowledge,
  size: number,
): Effect[] {
  return [
    ...lengths.map((named, index) => ownEffect(named, index, bench, size)),
    ...commonEffects(lengths, size),
    ...positionEffect(lengths, bench, size),
    ...uniformityEffect(lengths, bench, size),
    ...turnsEffect(lengths, bench, size),
    ...thermalEffect(lengths, bench, size),
  ];
}

function ownEffect(named: NamedLength, index: number, bench: BenchKnowledge, size: number): Effect {
  const { uOwnCm, ownDof } = named.length;
  return {
    symbol: named.symbol,
    meaning: named.meaning,
    estimate: withTurns(named.length, bench),
    unit: 'cm',
    standardUncertainty: uOwnCm,
    distribution: Number.isFinite(ownDof) ? 't' : 'normal',
    dof: ownDof,
    columns: [columnAt(size, index, uOwnCm)],
  };
}

const known = (
  symbol: string,
  meaning: Message,
  unit: string,
  standardUncertainty: number,
  columns: number[][],
): Effect => ({
  symbol,
  meaning,
  estimate: 0,
  unit,
  standardUncertainty,
  distribution: 'normal',
  dof: Number.POSITIVE_INFINITY,
  columns,
});

function commonEffects(lengths: readonly NamedLength[], size: number): Effect[] {
  const names = new Set(lengths.flatMap((named) => Object.keys(named.length.common)));
  return [...names].map((name) => {
    const column = columnOver(size, lengths, (named) => named.length.common[name] ?? 0);
    const largest = Math.max(...column.map(Math.abs));
    return known(`d_${name}`, meaningOf(name), 'cm', largest, [column]);
  });
}

const COMMON_MEANINGS: Readonly<Record<string, Message>> = {
  lag: message('row-lag'),
  zero: message('row-zero'),
};

/** `lag`, `zero` (`lag_2` of a second bench file), `drift_3` of the third set; anything else by its name. */
function meaningOf(name: string): Message {
  const [what, number] = name.split('_');
  if (what === 'drift') return message('row-drift', { set: number });
  const meaning = COMMON_MEANINGS[what];
  if (meaning === undefined) return message('row-common', { name });
  return number === undefined ? meaning : message('row-of-bench', { what: meaning, bench: number });
}

const columnOver = (
  size: number,
  lengths: readonly NamedLength[],
  step: (named: NamedLength) => number,
): number[] =>
  Array.from({ length: size }, (_, index) => (index < lengths.length ? step(lengths[index]) : 0));

function covarianceOver(
  size: number,
  lengths: readonly NamedLength[],
  between: (a: BalancingLength, b: BalancingLength) => number,
): Matrix {
  return Array.from({ length: size }, (_, i) =>
    Array.from({ length: size }, (_, j) =>
      i < lengths.length && j < lengths.length ? between(lengths[i].length, lengths[j].length) : 0,
    ),
  );
}

/** A kernel of ours is positive semi-definite by construction, so its factor always exists. */
const kernelColumns = (covariance: Matrix): number[][] => columnsOf(covariance) ?? [];

/** Where the sensor read a length; none for a length read by eye. */
export const placesOf = (length: BalancingLength): readonly SensedPlace[] => {
  if (length.places !== undefined) return length.places;
  const { sensorScaleCm, scaleSense } = length;
  return sensorScaleCm === null ? [] : [{ share: 1, sensorScaleCm, scaleSense }];
};

/** Calibration of the position sensor: an error of the scale reading, the same in every row. */
function positionEffect(lengths: readonly NamedLength[], bench: BenchKnowledge, size: number): Effect[] {
  const position = bench.position;
  if (position === null || lengths.every((named) => placesOf(named.length).length === 0)) return [];
  const covariance = covarianceOver(size, lengths, (a, b) =>
    positionCovariance(placesOf(a), placesOf(b), position),
  );
  const u = position.standardUncertaintyCm;
  return [known('d_position', message('row-position'), 'cm', u, kernelColumns(covariance))];
}

/** Covariance in cm² of what the calibration does to two lengths. */
export function positionCovariance(
  a: readonly SensedPlace[],
  b: readonly SensedPlace[],
  { standardUncertaintyCm, correlationCm }: NonNullable<BenchKnowledge['position']>,
): number {
  let sum = 0;
  for (const one of a) {
    for (const other of b) {
      const apart = (one.sensorScaleCm - other.sensorScaleCm) / correlationCm;
      sum += one.share * other.share * one.scaleSense * other.scaleSense * Math.exp(-apart * apart);
    }
  }
  return sum * standardUncertaintyCm ** 2;
}

/**
 * Uneven wire: the resistance of a length l is off by a relative amount of standard uncertainty u. Local
 * unevenness adds up like a random walk, so two lengths share what they have of wire in common: correlation √(short/long).
 */
function uniformityEffect(lengths: readonly NamedLength[], bench: BenchKnowledge, size: number): Effect[] {
  const u = bench.uniformityRelative;
  if (u === null || u === 0) return [];
  const covariance = covarianceOver(size, lengths, (a, b) => {
    const short = Math.min(a.lengthCm, b.lengthCm);
    const long = Math.max(a.lengthCm, b.lengthCm);
    return u * u * short * long * Math.sqrt(short / long);
  });
  return [known('d_wire', message('row-wire'), '1', u, kernelColumns(covariance))];
}

/** Every strip that joins two rows is off by its own amount; the lengths beyond it share that amount. */
function turnsEffect(lengths: readonly NamedLength[], bench: BenchKnowledge, size: number): Effect[] {
  const u = bench.turnCorrectionCm?.standardUncertaintyCm ?? 0;
  if (u === 0) return [];
  const most = Math.max(...lengths.map((named) => turnsOf(named.length, bench)));
  const columns = Array.from({ length: most }, (_, strip) =>
    columnOver(size, lengths, (named) => (turnsOf(named.length, bench) > strip ? u : 0)),
  );
  return [known('d_turns', message('row-turns'), 'cm', u, columns)];
}

/** Gradient along the wire in V/cm; null where nothing measures the driver current. */
export const gradientVPerCm = (driverMa: number | null, bench: BenchKnowledge): number | null =>
  driverMa === null || !(driverMa > 0)
    ? null
    : (driverMa * 1e-3 * bench.wireResistanceOhm) / bench.wireLengthCm;

/** Thermal EMFs in the leads of each cell shift all of its nulls by the same voltage. */
function thermalEffect(lengths: readonly NamedLength[], bench: BenchKnowledge, size: number): Effect[] {
  const u = priorThermalEmfUv(bench);
  const branches = [...new Set(lengths.map((named) => named.branch))];
  const columns = branches.map((branch) =>
    columnOver(size, lengths, (named) => {
      const gradient = gradientVPerCm(named.driverMa, bench);
      return named.branch !== branch || gradient === null ? 0 : (u * 1e-6) / gradient;
    }),
  );
  const felt = columns.filter((column) => column.some((step) => step !== 0));
  return felt.length === 0 ? [] : [known('d_thermal', message('row-thermal'), 'uV', u, felt)];
}
