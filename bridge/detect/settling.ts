import { BOUNCE_S } from './contact-times.ts';

/**
 * Has the current settled after contact was made? What is still missing of it dies away with the lag, so that the
 * closer to zero it is going to be, the sooner it is there.
 */

/** What may still be missing of a current that counts as settled. */
const MISSING_COUNTS = 0.1;
/** No deflection takes longer than this many lags. */
const MOST_LAGS = 12;

export class Settling {
  private readonly lagS: number;
  private madeAtS: number;
  private bounceS = BOUNCE_S;
  /** Of the deflection, missing when contact was made. */
  private missing = 1;

  /** @param lagS as long as the lag may be */
  constructor(madeAtS: number, lagS: number) {
    this.madeAtS = madeAtS;
    this.lagS = lagS;
  }

  /** Contact was lost for a moment that short and is there again. */
  flicker(atS: number, awayS: number): void {
    const left = this.missing * Math.exp((this.madeAtS - atS) / this.lagS);
    this.missing = 1 - (1 - left) * Math.exp(-awayS / this.lagS);
    this.bounceS = Math.max(0, this.bounceS - (atS - this.madeAtS));
    this.madeAtS = atS;
  }

  /** @param offCounts the reading, from zero */
  isOver(tS: number, offCounts: number): boolean {
    const passedS = tS - this.madeAtS - this.bounceS;
    if (passedS >= MOST_LAGS * this.lagS) return true;
    return passedS >= this.lagS * Math.log1p((this.missing * Math.abs(offCounts)) / MISSING_COUNTS);
  }
}
