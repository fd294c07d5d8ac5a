import { LEAST_SIGMA_COUNTS } from './estimate/noise.ts';

/**
 * The level at which the galvanometer rests most of the time, for boards that do not sense contact: windows in
 * which it is quiet are gathered by their means; the most visited level near the nominal zero wins.
 */

interface RestLevel {
  mean: number;
  windows: number;
  /** Mean variance of one value within its windows. */
  variance: number;
}

/** Independent values a window: a sixth of a second of mains periods. */
const WINDOW = 8;
/** Levels kept, the least visited dropped first; and windows over which one is averaged (common practice, no source). */
const MOST_LEVELS = 24;
const MEMORY = 200;
/** Windows after which a level is believed. */
const KNOWN = 3;
/** A zero lies near where the bench file says; plateaux of taps lie anywhere (common practice, no source). */
const REACH_COUNTS = 200;
/** In counts: converters step by one, and amplifiers wander a little within seconds. */
const LEAST_CLEAR = 4;
const CLEAR_SIGMAS = 6;
/** By how much the noise floor is let up for every window that is louder: twice as loud after seventy. */
const FLOOR_GROWS = 1.01;
/** A window is quiet under so many times the floor, and half a count, which rounding alone may add. */
const QUIET = 2;
const QUIET_COUNTS = 0.5;
/** Windows closer than so many standard deviations, or counts, are of one level. */
const SAME_SIGMAS = 3;
const SAME_COUNTS = 2;

export class RestingLevel {
  private readonly nominal: number;
  private levels: RestLevel[] = [];
  private best: RestLevel | null = null;
  private window: number[] = [];
  private skip = 0;
  private quietSigma = Number.POSITIVE_INFINITY;

  constructor(nominal: number) {
    this.nominal = nominal;
  }

  /** Takes a mean over `width` samples; of means that overlap every `width`-th counts. */
  accept(mean: number, width: number, saturated: boolean): void {
    if (saturated) this.window = [];
    this.skip += 1;
    if (this.skip < width) return;
    this.skip = 0;
    if (saturated) return;
    this.window.push(mean);
    if (this.window.length < WINDOW) return;
    this.close(this.window);
    this.window = [];
  }

  /** The bench file's word until a level is known. */
  get level(): number {
    return this.best?.mean ?? this.nominal;
  }

  /** Standard deviation of one mean at rest. */
  get sampleSigma(): number {
    return this.best === null
      ? LEAST_SIGMA_COUNTS
      : Math.max(LEAST_SIGMA_COUNTS, Math.sqrt(this.best.variance));
  }

  /** +1 or -1 where a mean lies clear of the resting level, 0 where it does not, or no level is known yet. */
  sideOf(mean: number): -1 | 0 | 1 {
    if (this.best === null) return 0;
    const off = mean - this.best.mean;
    if (Math.abs(off) <= Math.max(LEAST_CLEAR, CLEAR_SIGMAS * this.sampleSigma)) return 0;
    return off > 0 ? 1 : -1;
  }

  private close(window: readonly number[]): void {
    const mean = window.reduce((sum, value) => sum + value, 0) / WINDOW;
    const variance = window.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (WINDOW - 1);
    const sigma = Math.sqrt(variance);
    // The noise floor follows the quietest windows down at once and louder ones up only slowly.
    this.quietSigma =
      sigma < this.quietSigma ? Math.max(LEAST_SIGMA_COUNTS, sigma) : this.quietSigma * FLOOR_GROWS;
    if (sigma < QUIET * this.quietSigma + QUIET_COUNTS && Math.abs(mean - this.nominal) < REACH_COUNTS)
      this.visit(mean, variance);
  }

  private visit(mean: number, variance: number): void {
    const reach = Math.max(SAME_COUNTS, SAME_SIGMAS * this.quietSigma);
    const known = this.levels.find((level) => Math.abs(level.mean - mean) < reach);
    if (known === undefined) this.add({ mean, windows: 1, variance });
    else {
      known.windows += 1;
      const share = 1 / Math.min(MEMORY, known.windows);
      known.mean += share * (mean - known.mean);
      known.variance += share * (variance - known.variance);
    }
    this.best = this.mostVisited();
  }

  private add(level: RestLevel): void {
    if (this.levels.length >= MOST_LEVELS) {
      this.levels = this.levels.sort((a, b) => b.windows - a.windows).slice(0, MOST_LEVELS - 1);
    }
    this.levels.push(level);
  }

  private mostVisited(): RestLevel | null {
    let best: RestLevel | null = null;
    for (const level of this.levels) if (best === null || level.windows > best.windows) best = level;
    return best !== null && best.windows >= KNOWN ? best : null;
  }
}
