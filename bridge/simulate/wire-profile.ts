/** Resistance along the wire: rows in series, each uniform, joined by strips that may have a resistance. */

export interface WireShape {
  rows: number;
  rowLengthCm: number;
  /** Of all rows together, strips left out. */
  resistanceOhm: number;
  /** Resistance of each row relative to the others; all 1 where the wire is uniform. */
  rowFactors: readonly number[] | null;
  /** Of each strip that joins two rows. */
  stripOhm: number;
}

export interface WireProfile {
  lengthCm: number;
  /** Rows and strips. */
  totalOhm: number;
  /** Resistance in ohm between the wire's zero and a length. */
  ohmAt(lengthCm: number): number;
  /** The other way; null beyond either end. Inside a strip it is the row end that the strip starts from. */
  lengthAt(ohm: number): number | null;
}

export function wireProfile(shape: WireShape): WireProfile {
  const { rows, rowLengthCm, stripOhm } = shape;
  const factors = shape.rowFactors ?? Array<number>(rows).fill(1);
  const unitOhm = shape.resistanceOhm / factors.reduce((sum, factor) => sum + factor, 0);
  const rowOhm = factors.map((factor) => factor * unitOhm);
  const startOhm = [0];
  for (let row = 1; row < rows; row += 1) startOhm.push(startOhm[row - 1] + rowOhm[row - 1] + stripOhm);
  const totalOhm = startOhm[rows - 1] + rowOhm[rows - 1];
  return {
    lengthCm: rows * rowLengthCm,
    totalOhm,
    ohmAt(lengthCm) {
      const row = Math.min(rows - 1, Math.max(0, Math.floor(lengthCm / rowLengthCm)));
      return startOhm[row] + (rowOhm[row] * (lengthCm - row * rowLengthCm)) / rowLengthCm;
    },
    lengthAt(ohm) {
      if (!(ohm >= 0 && ohm <= totalOhm)) return null;
      let row = rows - 1;
      while (row > 0 && ohm < startOhm[row]) row -= 1;
      return (row + Math.min(1, (ohm - startOhm[row]) / rowOhm[row])) * rowLengthCm;
    },
  };
}
