import type { RandomStream } from './random.ts';

/** Resistance along the wire: rows in series, joined by strips, each row a chain of pieces that need not be alike. */

export interface WireShape {
  rows: number;
  rowLengthCm: number;
  /** Of all rows together, strips left out. */
  resistanceOhm: number;
  /** Relative resistances of pieces of one length, in order from A, as many in each row. */
  pieces: readonly number[];
  /** Of each strip that joins two rows, in order from A. */
  stripsOhm: readonly number[];
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

export function wireProfile({ rows, rowLengthCm, resistanceOhm, pieces, stripsOhm }: WireShape): WireProfile {
  const inRow = pieces.length / rows;
  const pieceCm = rowLengthCm / inRow;
  const unitOhm = resistanceOhm / pieces.reduce((sum, piece) => sum + piece, 0);
  const pieceOhm = pieces.map((piece) => piece * unitOhm);
  const last = pieces.length - 1;
  const startOhm = [0];
  for (let piece = 1; piece <= last; piece += 1) {
    const stripOhm = piece % inRow === 0 ? stripsOhm[piece / inRow - 1] : 0;
    startOhm.push(startOhm[piece - 1] + pieceOhm[piece - 1] + stripOhm);
  }
  const totalOhm = startOhm[last] + pieceOhm[last];
  return {
    lengthCm: rows * rowLengthCm,
    totalOhm,
    ohmAt(lengthCm) {
      const piece = Math.min(last, Math.max(0, Math.floor(lengthCm / pieceCm)));
      return startOhm[piece] + (pieceOhm[piece] * (lengthCm - piece * pieceCm)) / pieceCm;
    },
    lengthAt(ohm) {
      if (!(ohm >= 0 && ohm <= totalOhm)) return null;
      let piece = last;
      while (piece > 0 && ohm < startOhm[piece]) piece -= 1;
      return (piece + Math.min(1, (ohm - startOhm[piece]) / pieceOhm[piece])) * pieceCm;
    },
  };
}

/** How uneven a wire is: sizes, from which the wire of a scene is drawn. */
export interface WireSizes {
  /** Of all rows together, strips left out. */
  resistanceOhm: number;
  /** Standard deviation of the relative resistance of each 10 cm: a random walk along the wire. */
  walkPer10Cm: number;
  /** Standard deviation of the relative resistance of each row. */
  rowSpread: number;
  /** Strips that join the rows: their mean and standard deviation. */
  stripOhm: number;
  stripSpreadOhm: number;
}

const PIECE_CM = 10;
/** Of what is usual, so that a grossly uneven wire still goes one way. */
const LEAST_PIECE = 0.1;

/** @param stream of one effect, by name: rows, walk and strips are drawn apart. */
export function drawnWire(
  { resistanceOhm, walkPer10Cm, rowSpread, stripOhm, stripSpreadOhm }: WireSizes,
  { rows, rowLengthCm }: Pick<WireShape, 'rows' | 'rowLengthCm'>,
  stream: (name: string) => RandomStream,
): WireShape {
  const ofRows = stream('rows of the wire');
  const ofWalk = stream('walk along the wire');
  const ofStrips = stream('strips');
  const inRow = walkPer10Cm === 0 ? 1 : Math.ceil(rowLengthCm / PIECE_CM);
  const walk = walkPer10Cm * Math.sqrt((PIECE_CM * inRow) / rowLengthCm);
  const pieces = Array.from({ length: rows }, () => rowSpread * ofRows.normal()).flatMap((row) =>
    Array.from({ length: inRow }, () => Math.max(LEAST_PIECE, 1 + row + walk * ofWalk.normal())),
  );
  const stripsOhm = Array.from({ length: rows - 1 }, () => stripOhm + stripSpreadOhm * ofStrips.normal());
  return { rows, rowLengthCm, resistanceOhm, pieces, stripsOhm };
}
