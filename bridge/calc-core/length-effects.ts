import { type FullKnowledge, ORDINARY } from './assumed-sizes.ts';
import type { BalancingLength, SensedPlace } from './balancing-length.ts';
import type { Matrix } from './cholesky.ts';
import { columnAt, columnsOf, type Effect } from './effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';

/** What makes balancing lengths uncertain, as independent effects. Lengths are the first inputs of the model. */

export interface NamedLength {
  symbol: string;
  meaning: Message;
  length: BalancingLength;
  /** Which cell it balances: thermal EMFs sit in its leads, and its EMF may change. */
  cell: 1 | 2;
  driverMa: number | null;
}

/** Number of strips between A and the null; each joins two rows. */
export const turnsOf = (length: BalancingLength, bench: FullKnowledge): number =>
  length.row === null ? Math.floor(length.lengthCm / bench.rowLengthCm) : length.row - 1;

/** The length with the strips before it counted in, as length of wire in cm. */
export const withTurns = (length: BalancingLength, bench: FullKnowledge): number =>
  length.lengthCm + turnsOf(length, bench) * bench.turnCorrectionCm.valueCm;

/** Every effect on `lengths`, columns over `size` inputs of which the lengths are the first. */
export function lengthEffects(lengths: readonly NamedLength[], bench: FullKnowledge, size: number): Effect[] {
  const own = steadied(lengths.map(({ length }) => ({ u: length.uOwnCm, dof: length.ownDof })));
  return [
    ...lengths.map((named, index) => ownEffect(named, own[index], index, bench, size)),
    ...commonEffects(lengths, size),
    ...positionEffect(lengths, bench, size),
    ...taperEffect(lengths, bench, size),
    ...turnsEffect(lengths, bench, size),
    ...thermalEffect(lengths, bench, size),
  ];
}

/** Degrees of freedom that the pooled variance of the other lengths is worth beside a length's own. */
const POOL_DOF = 10;

/**
 * Own standard uncertainties to reckon with. A standard deviation from a few repeats can be tiny by chance, so it is drawn
 * towards the pooled one by their degrees of freedom, and is then that of the t distribution it stands for: u·√(dof/(dof - 2)).
 * What is known beforehand stays.
 */
function steadied(own: readonly { u: number; dof: number }[]): number[] {
  const estimated = own.filter(({ dof }) => Number.isFinite(dof));
  const freedom = estimated.reduce((sum, { dof }) => sum + dof, 0);
  const pooled = estimated.reduce((sum, { u, dof }) => sum + dof * u * u, 0) / (freedom || 1);
  return own.map(({ u, dof }) =>
    Number.isFinite(dof) ? Math.sqrt((dof * u * u + POOL_DOF * pooled) / (dof + POOL_DOF - 2)) : u,
  );
}

function ownEffect(
  named: NamedLength,
  uOwnCm: number,
  index: number,
  bench: FullKnowledge,
  size: number,
): Effect {
  const { ownDof } = named.length;
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
  const covariance = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  lengths.forEach((one, i) => {
    for (let j = 0; j <= i; j += 1) {
      covariance[i][j] = between(one.length, lengths[j].length);
      covariance[j][i] = covariance[i][j];
    }
  });
  return covariance;
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
function positionEffect(lengths: readonly NamedLength[], bench: FullKnowledge, size: number): Effect[] {
  const { position } = bench;
  if (lengths.every((named) => placesOf(named.length).length === 0)) return [];
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
  { standardUncertaintyCm, correlationCm }: FullKnowledge['position'],
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
 * Wire that gets thinner from end to end bends the line of lengths as an end correction does. Whoever states how even the wire
 * is has said this, too: its size then goes with the walk's.
 */
function taperEffect(lengths: readonly NamedLength[], bench: FullKnowledge, size: number): Effect[] {
  const ordinary = ORDINARY.walkPer10Cm * Math.sqrt(10 / bench.wireLengthCm);
  const u = ORDINARY.taperRelative * Math.min(1, bench.uniformityRelative / ordinary);
  if (u === 0) return [];
  const column = columnOver(
    size,
    lengths,
    ({ length: { lengthCm } }) => u * lengthCm * (1 - lengthCm / bench.wireLengthCm),
  );
  return [known('d_taper', message('row-taper'), '1', u, [column])];
}

/** Every strip that joins two rows is off by its own amount; the lengths beyond it share that amount. */
function turnsEffect(lengths: readonly NamedLength[], bench: FullKnowledge, size: number): Effect[] {
  const u = bench.turnCorrectionCm.standardUncertaintyCm;
  if (u === 0) return [];
  const most = Math.max(...lengths.map((named) => turnsOf(named.length, bench)));
  const columns = Array.from({ length: most }, (_, strip) =>
    columnOver(size, lengths, (named) => (turnsOf(named.length, bench) > strip ? u : 0)),
  );
  return [known('d_turns', message('row-turns'), 'cm', u, columns)];
}

/** Gradient along the wire in V/cm; null where nothing measures the driver current. */
export const gradientVPerCm = (driverMa: number | null, bench: FullKnowledge): number | null =>
  driverMa === null || !(driverMa > 0)
    ? null
    : (driverMa * 1e-3 * bench.wireResistanceOhm) / bench.wireLengthCm;

/** Thermal EMFs in the leads of each cell shift all of its nulls by the same voltage. */
function thermalEffect(lengths: readonly NamedLength[], bench: FullKnowledge, size: number): Effect[] {
  const u = bench.thermalEmfUv;
  const cells = [...new Set(lengths.map(({ cell }) => cell))];
  const columns = cells.map((cell) =>
    columnOver(size, lengths, (named) => {
      const gradient = gradientVPerCm(named.driverMa, bench);
      return named.cell !== cell || gradient === null ? 0 : (u * 1e-6) / gradient;
    }),
  );
  const felt = columns.filter((column) => column.some((step) => step !== 0));
  return felt.length === 0 ? [] : [known('d_thermal', message('row-thermal'), 'uV', u, felt)];
}
