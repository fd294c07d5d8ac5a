import type { Reading } from '../bench/reading.ts';
import { GAP_S } from './contact-times.ts';

/** Mean of the newest counts over one period of the mains. */
export class MainsAverage {
  /** Samples in a period of the mains. */
  width = 1;
  private counts: number[] = [];
  private sum = 0;
  private lastS = Number.NaN;

  /** Samples are missing for so long that nothing holds across. */
  isCut(tS: number): boolean {
    return tS < this.lastS || tS - this.lastS > GAP_S;
  }

  accept({ tS, afterGap }: Reading, counts: number, humHz: number): number {
    const gapS = tS - this.lastS;
    this.lastS = tS;
    if (gapS > 0 && !afterGap) this.width = Math.max(1, Math.round(1 / (humHz * gapS)));
    this.counts.push(counts);
    this.sum += counts;
    while (this.counts.length > this.width) this.sum -= this.counts.shift() as number;
    return this.sum / this.counts.length;
  }

  clear(): void {
    this.counts = [];
    this.sum = 0;
  }
}
