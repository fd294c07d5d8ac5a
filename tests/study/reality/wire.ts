import type { Chance } from './chance.ts';
import { ORDINARY, type Sizes } from './sizes.ts';

/** A stretched wire as resistance along its length, cut into rows and joined by strips. Ohm and centimetre. */

export interface Wire {
  rows: number;
  rowCm: number;
  /** Resistance of the even wire, strips left out: what the bench file would state. */
  ohm: number;
  endAOhm: number;
  strips: readonly number[];
  /** Resistance of each row from its beginning, by centimetre: rowCm + 1 values a row. */
  rowOhm: readonly Float64Array[];
  /** What lies before the first centimetre mark of each row, from terminal A. */
  startOhm: readonly number[];
}

const ROW_CM = 100;

export function drawWire(sizes: Sizes, chance: Chance): Wire {
  const rows = chance.yes(0.85) ? 10 : chance.oneOf([4, 6, 8]);
  const ohm = chance.logBetween(5, 60) * (rows / 10);
  const perCm = ohm / (rows * ROW_CM);
  const coils = coilOffsets(rows, sizes.rows * ORDINARY.rows, chance);
  const along = slowChange(sizes.taper * ORDINARY.taper, rows * ROW_CM, chance);
  const rowOhm = coils.map((coil, row) => {
    const uneven = fluctuation(sizes.walk * ORDINARY.walkPer10Cm, chance);
    return summed((cm) => perCm * (1 + coil + uneven() + along(row * ROW_CM + cm)));
  });
  addKinks(rowOhm, sizes.kinks * ORDINARY.kinkCm * perCm, chance);
  const strips = rowOhm.slice(1).map(() => stripOhm(sizes, perCm, chance));
  return wireOf(rowOhm, strips, endAOhm(sizes, perCm, chance), ohm);
}

/** A bad joint now and then: one in eight is six times worse. The scale's zero is worth wire, of either sign. */
function endAOhm(sizes: Sizes, perCm: number, chance: Chance): number {
  const bad = chance.yes(0.12) ? 6 : 1;
  const joint = sizes.joint * ORDINARY.jointOhm * bad * Math.exp(chance.normal());
  return joint + perCm * sizes.zero * ORDINARY.zeroCm * Math.sqrt(3) * chance.between(-1, 1);
}

function stripOhm(sizes: Sizes, perCm: number, chance: Chance): number {
  const strip = sizes.strips * ORDINARY.stripOhm * Math.exp(0.4 * chance.normal());
  return strip + perCm * sizes.pins * ORDINARY.pinCm * chance.between(-1, 1);
}

/** Every row from its own coil, or a few rows after one another from each coil. */
function coilOffsets(rows: number, size: number, chance: Chance): number[] {
  const together = chance.oneOf([1, 1, 2, 3, 4]);
  let coil = 0;
  return Array.from({ length: rows }, (_, row) => {
    if (row % together === 0) coil = size * chance.normal();
    return together === 1 ? coil : coil + 0.25 * size * chance.normal();
  });
}

/** A taper from end to end and a bow, as relative resistance per length at a place. */
function slowChange(size: number, wireCm: number, chance: Chance): (cm: number) => number {
  const [taper, bow] = [size * chance.normal(), size * chance.normal()];
  return (cm) => taper * ((2 * cm) / wireCm - 1) + bow * Math.sin((Math.PI * cm) / wireCm);
}

/**
 * Relative resistance of one centimetre after another: an Ornstein-Uhlenbeck process, scaled so that the mean of 10 cm has
 * the standard deviation `per10`.
 */
function fluctuation(per10: number, chance: Chance): () => number {
  const reachCm = chance.logBetween(1, 8);
  const t = 10 / reachCm;
  const sd = per10 / Math.sqrt((2 / t ** 2) * (t - 1 + Math.exp(-t)));
  const keep = Math.exp(-1 / reachCm);
  let now = sd * chance.normal();
  return () => {
    const value = now;
    now = keep * now + sd * Math.sqrt(1 - keep ** 2) * chance.normal();
    return value;
  };
}

function addKinks(rowOhm: Float64Array[], ohm: number, chance: Chance): void {
  const kinks = 1 + Math.floor(4 * chance.uniform());
  for (let kink = 0; kink < kinks; kink += 1) {
    const row = chance.oneOf(rowOhm);
    const extra = ohm * Math.exp(0.7 * chance.normal());
    for (let cm = 1 + Math.floor(ROW_CM * chance.uniform()); cm <= ROW_CM; cm += 1) row[cm] += extra;
  }
}

/** Resistance from the beginning of a row, from that of each of its centimetres. */
export function summed(ohmOfCm: (cm: number) => number): Float64Array {
  const sum = new Float64Array(ROW_CM + 1);
  for (let cm = 0; cm < ROW_CM; cm += 1) sum[cm + 1] = sum[cm] + ohmOfCm(cm + 0.5);
  return sum;
}

/**
 * @param rowOhm as `summed`
 * @param ohm of the even wire
 */
export function wireOf(
  rowOhm: readonly Float64Array[],
  strips: readonly number[],
  endAOhm: number,
  ohm: number,
): Wire {
  let before = endAOhm;
  const startOhm = rowOhm.map((row, index) => {
    const start = before;
    before += row[row.length - 1] + (strips[index] ?? 0);
    return start;
  });
  return { rowOhm, strips, startOhm, endAOhm, rows: rowOhm.length, rowCm: ROW_CM, ohm };
}

/** Where the jockey finds a resistance from terminal A; null where the wire has none, or a strip has it. */
export function placeAtOhm(wire: Wire, ohm: number): { row: number; alongCm: number } | null {
  let row = wire.rows - 1;
  while (row > 0 && ohm < wire.startOhm[row]) row -= 1;
  const sum = wire.rowOhm[row];
  const within = ohm - wire.startOhm[row];
  if (within < 0) return null;
  if (within > sum[sum.length - 1])
    return row === wire.rows - 1 ? null : { row: row + 1, alongCm: wire.rowCm };
  let [low, high] = [0, sum.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (sum[middle] <= within) low = middle;
    else high = middle;
  }
  return { row: row + 1, alongCm: low + (within - sum[low]) / (sum[high] - sum[low]) };
}

/** Resistance of the wire and its strips from the beginning of row 1 to a length from A. */
export function ohmAlong(wire: Wire, lengthCm: number): number {
  const row = Math.min(wire.rows - 1, Math.max(0, Math.floor(lengthCm / wire.rowCm)));
  const sum = wire.rowOhm[row];
  const along = Math.min(wire.rowCm, Math.max(0, lengthCm - row * wire.rowCm));
  const mark = Math.min(sum.length - 2, Math.floor(along));
  return wire.startOhm[row] - wire.endAOhm + sum[mark] + (along - mark) * (sum[mark + 1] - sum[mark]);
}
