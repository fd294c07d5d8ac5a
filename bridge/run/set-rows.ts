import {
  columnDecimals,
  DASH,
  fixed,
  lengthDecimals,
  type Rounded,
  roundTogether,
} from '../calc-core/rounding.ts';
import type { ComparisonSetView, ComparisonWork, ResistanceWork } from './view.ts';

/** The table of observations in figures for people, the same on page, terminal and record. */

/** A set of observations, every column rounded alike. */
export interface SetRow {
  set: number;
  driverMa: string;
  /** Of an internal resistance, else null. */
  loadOhm: string | null;
  /** Both lengths, then what they make: the ratio, or r. */
  lengths: [Rounded, Rounded];
  made: Rounded;
}

type Sets = Pick<ComparisonWork, 'procedure' | 'sets'> | Pick<ResistanceWork, 'procedure' | 'sets'>;

type Pair = [value: number | null, u: number | null];

const MOST_DECIMALS = 7;

export const driverText = (mA: number | null): string => fixed(mA, 2);

export function setRows(work: Sets): SetRow[] {
  const rows = pairsOf(work);
  const cm = lengthDecimals(rows.flatMap(({ lengths }) => lengths.map(([, u]) => u)));
  const decimals = columnDecimals(
    rows.map(({ made: [, u] }) => u),
    MOST_DECIMALS,
  );
  return rows.map(({ set, driverMa, loadOhm, lengths: [first, second], made }) => ({
    set,
    driverMa: driverText(driverMa),
    loadOhm: loadOhm === undefined ? null : String(loadOhm ?? DASH),
    lengths: [roundTogether(...first, cm), roundTogether(...second, cm)],
    made: roundTogether(...made, decimals),
  }));
}

interface Pairs {
  set: number;
  driverMa: number | null;
  loadOhm?: number | null;
  lengths: [Pair, Pair];
  made: Pair;
}

const pairsOf = (work: Sets): Pairs[] =>
  work.procedure === 'emf-comparison'
    ? work.sets.map(({ set, driverMa, l1Cm, u1Cm, l2Cm, u2Cm, ratio, uRatio }) => ({
        set,
        driverMa,
        lengths: [
          [l1Cm, u1Cm],
          [l2Cm, u2Cm],
        ],
        made: [ratio, uRatio],
      }))
    : work.sets.map(({ set, driverMa, loadOhm, l0Cm, u0Cm, lCm, uCm, rOhm, uROhm }) => ({
        set,
        driverMa,
        loadOhm,
        lengths: [
          [l0Cm, u0Cm],
          [lCm, uCm],
        ],
        made: [rOhm, uROhm],
      }));

/**
 * (l1 + alpha)/(l2 + alpha): the ratio that a set gives once the end correction alpha in cm is applied to both lengths; null where a
 * length is missing.
 */
export const endCorrectedRatio = (
  { l1Cm, l2Cm }: Pick<ComparisonSetView, 'l1Cm' | 'l2Cm'>,
  alphaCm: number,
): number | null => (l1Cm === null || l2Cm === null ? null : (l1Cm + alphaCm) / (l2Cm + alphaCm));
