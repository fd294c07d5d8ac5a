import type { Reading } from '../bench/reading.ts';

/**
 * How long and how far the jockey of a board that does not sense contact has gone with one cell in circuit. Where nothing
 * at all has been seen to deflect by then, a branch may be open, or the jockey was never put down.
 */

const LEAST_S = 20;
const LEAST_CM = 50;

export class NoDeflectionWatch {
  private cell: number | null = null;
  private telling = false;
  private fromS = Number.NaN;
  private lowCm = 0;
  private highCm = 0;

  /** The cell for which it has been long and far enough to be worth a word; null for none. */
  get stillCell(): number | null {
    return this.telling ? this.cell : null;
  }

  addReading({ tS, cell, contact, scaleCm }: Reading): void {
    if (contact !== null || scaleCm === null) return;
    if (cell !== this.cell || Number.isNaN(this.fromS)) {
      this.cell = cell;
      this.fromS = tS;
      this.lowCm = scaleCm;
      this.highCm = scaleCm;
    }
    this.lowCm = Math.min(this.lowCm, scaleCm);
    this.highCm = Math.max(this.highCm, scaleCm);
    this.telling = tS - this.fromS > LEAST_S && this.highCm - this.lowCm > LEAST_CM;
  }
}
