/**
 * The lag of the current as a lifted jockey shows it: the galvanometer falls back to its zero with the time
 * constant of the filter before the converter.
 */

export interface Release {
  lagS: number;
  uS: number;
}

/** A fall that takes longer, or has a longer time constant, is no filter's (common practice, no source). */
const LONGEST_S = 1;
const LONGEST_LAG_S = 0.5;
/** Two seconds at 1 kHz: bounds memory. */
const MOST_SAMPLES = 2000;
/**
 * Standard deviations of the noise that the last current in contact must be: its fall then stands out for ln(40/6) =
 * 1.9 lags.
 */
const LEAST_FALL = 40;
/** Samples within so many are back at zero, and say nothing of the fall. */
const ABOVE_SIGMAS = 6;
/**
 * A lag shorter than this is taken as none at all: a filter against hum is slower, and an amplifier without one answers
 * within microseconds (common practice, no source). At slow rates a real filter may hide between two samples.
 */
const NO_FILTER_S = 0.0015;
const AT_ONCE_U_S = 1e-5;
/**
 * The fall is one exponential only where one pole rules: this share of the lag stays in doubt (common practice, no
 * source).
 */
const ONE_POLE_SHARE = 0.03;

export class ReleaseWatch {
  private t: number[] = [];
  private off: number[] = [];
  private startOff = 0;
  private watching = false;

  /** Contact has just been lost; `offCounts` is how far from its zero the galvanometer was. */
  begin(tS: number, offCounts: number): void {
    this.watching = true;
    this.startOff = offCounts;
    this.t = [tS];
    this.off = [];
  }

  /** A lifted sample; answers the lag once the fall has been seen. */
  accept(tS: number, offCounts: number, sigma: number, saturated: boolean): Release | null {
    if (!this.watching) return null;
    this.t.push(tS);
    this.off.push(saturated ? Number.NaN : offCounts);
    const settled = Math.abs(offCounts) < ABOVE_SIGMAS * sigma;
    if (!settled && this.off.length < MOST_SAMPLES && tS - this.t[0] < LONGEST_S) return null;
    this.watching = false;
    return settled ? this.judge(sigma) : null;
  }

  cancel(): void {
    this.watching = false;
  }

  /** One exponential from the last current in contact, begun between that sample and the next, or nothing. */
  private beganAtTheBreak(release: Release | null, first: { t: number; log: number }): Release | null {
    if (release === null) return null;
    const sinceS = release.lagS * (Math.log(Math.abs(this.startOff)) - first.log);
    return sinceS > SLACK * (first.t - this.t[0]) ? null : release;
  }

  /**
   * Over within a sample or two: the lag lies between nothing and a bound, of which it is taken to be a half or a
   * quarter.
   */
  private boundBy(samplesAbove: number, sigma: number): Release {
    const passedS = this.t[samplesAbove + 1] - this.t[0];
    const bound = passedS / Math.log(Math.abs(this.startOff) / (ABOVE_SIGMAS * sigma));
    if (samplesAbove > 0) return { lagS: bound / 2, uS: bound / 2 };
    return bound < NO_FILTER_S ? { lagS: 0, uS: AT_ONCE_U_S } : { lagS: bound / 4, uS: bound / 3 };
  }

  private judge(sigma: number): Release | null {
    if (Math.abs(this.startOff) < LEAST_FALL * sigma) return null;
    const sense = Math.sign(this.startOff);
    const fall: { t: number; log: number; weight: number }[] = [];
    this.off.forEach((off, index) => {
      const size = off * sense;
      if (!(size >= ABOVE_SIGMAS * sigma)) return;
      fall.push({ t: this.t[index + 1], log: Math.log(size), weight: (size / sigma) ** 2 });
    });
    if (fall.length >= 2) return this.beganAtTheBreak(slopeOf(fall), fall[0]);
    // Off the scale for a while and then at zero: how it got there was not seen.
    if (this.off.some(Number.isNaN)) return null;
    return this.boundBy(fall.length, sigma);
  }
}

/** A fall that leaves the last current in contact unexplained was no free fall: the blade bounced or scraped. */
const SLACK = 1.5;

function slopeOf(fall: { t: number; log: number; weight: number }[]): Release | null {
  let weights = 0;
  let t = 0;
  let log = 0;
  for (const point of fall) {
    weights += point.weight;
    t += point.weight * point.t;
    log += point.weight * point.log;
  }
  t /= weights;
  log /= weights;
  let across = 0;
  let squares = 0;
  for (const point of fall) {
    across += point.weight * (point.t - t) * (point.log - log);
    squares += point.weight * (point.t - t) ** 2;
  }
  const rate = -across / squares;
  if (!(rate > 1 / LONGEST_LAG_S)) return null;
  const lagS = 1 / rate;
  return { lagS, uS: Math.hypot(lagS ** 2 / Math.sqrt(squares), ONE_POLE_SHARE * lagS) };
}
