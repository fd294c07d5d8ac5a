import { lowerMedian } from '../calc-core/median.ts';
import { findHum } from './estimate/hum.ts';
import { fitLevel } from './estimate/level.ts';
import { LEAST_SIGMA_COUNTS, QUANTISING_VARIANCE } from './estimate/noise.ts';

/**
 * The galvanometer's true zero: what it reads while the jockey is lifted, followed through the run. Samples are
 * gathered in stretches of up to two seconds, each with its own level, so that hours fit in little memory.
 */

export interface Zero {
  counts: number;
  uCounts: number;
  /** False while no lifted jockey has been seen: `counts` is then the bench file's word. */
  seen: boolean;
}

/** Long enough to tell hum of 50 Hz from 50.5 Hz, short beside any drift. */
const STRETCH_S = 2;
/** Of a stretch, two seconds at 1 kHz: bounds memory at rates beyond. */
const MOST_SAMPLES = 2048;
/**
 * The zero at a time is drawn from what was seen around it, with weights falling off over this many seconds (common
 * practice, no source).
 */
const MEMORY_S = 90;
/** Multiples of it beyond which nothing counts. */
const FORGOTTEN = 12;
/** So many times the memory later, the weight is lost in the rounding of a number: e^-40 is 4e-18. */
const TOO_LATE = 40;
/** By how many counts a zero may be expected to drift in that time, and at the most (common practice, no source). */
const SLOW_DRIFT = 0.1;
const FAST_DRIFT = 5;
/** Chi-square that the faster drift must explain to be believed: three standard deviations. */
const EARNED = 9;
/** Standard uncertainty of a zero that is the bench file's word (common practice, no source). */
const UNKNOWN_U_COUNTS = 2;
/** Of the noise, in counts, until so many degrees of freedom have shown it. */
const UNKNOWN_SIGMA_COUNTS = 1;
const LEAST_DOF = 20;
/** Pairs of stretches before their disagreement widens anything: of fewer it is chance. */
const LEAST_PAIRS = 5;
/** What lies further apart than so many standard deviations is not chance. */
const CHANCE_SIGMAS = 2.33;
/** In 1/counts²: less is nothing seen. */
const NO_INFORMATION = 1e-12;
/** Samples of a stretch that can tell the noise's memory; its newest stretches are remembered. */
const LEAST_FOR_MEMORY = 60;
const MOST_MEMORIES = 15;

interface Stretch {
  tS: number;
  counts: number;
  /** One over the variance. */
  information: number;
  /** How much of the weight of the stretch before is left when this one comes. */
  faded: number;
}

const weightAfter = (seconds: number): number => Math.exp(-seconds / MEMORY_S);

export class LiftedLevel {
  /** Mains hum as the lifted galvanometer shows it; null where there is none to speak of. */
  humHz: number | null = null;
  /** The level through the run by what has been seen until now. */
  history: ZeroHistory;
  private readonly nominal: number;
  private readonly stretches: Stretch[] = [];
  private t: number[] = [];
  private y: number[] = [];
  private squares = 0;
  private dof = 0;
  // How far neighbouring stretches lie apart, over what their own variances allow.
  private apart = 0;
  private allowed = 0;
  private pairs = 0;
  /** Of the latest stretches; a stretch in which something else happened must not speak for all. */
  private memories: number[] = [];
  private middleMemory = 1;

  constructor(nominal: number) {
    this.nominal = nominal;
    this.history = new ZeroHistory({ nominal, stretches: [], widening: 1, slowVariance: 0 });
  }

  /** Takes a sample of the lifted, settled galvanometer. */
  accept(tS: number, counts: number): void {
    if (this.t.length > 0 && (tS - this.t[0] >= STRETCH_S || this.t.length >= MOST_SAMPLES)) this.interrupt();
    this.t.push(tS);
    this.y.push(counts);
  }

  /** The jockey touches again, or samples are missing: the stretch ends. */
  interrupt(): void {
    const { t, y } = this;
    if (t.length === 0) return;
    this.t = [];
    this.y = [];
    this.close(new Float64Array(t), new Float64Array(y));
  }

  /** Standard deviation of one sample in counts, hum included; a count where nothing is known yet. */
  get sampleSigma(): number {
    if (this.dof < LEAST_DOF) return UNKNOWN_SIGMA_COUNTS;
    return Math.max(LEAST_SIGMA_COUNTS, Math.sqrt(this.squares / this.dof));
  }

  /**
   * How much larger the variance of a mean is than neighbours let expect, were they independent: the noise's memory.
   * 1 for white noise.
   */
  get noiseMemory(): number {
    return Math.max(1, this.middleMemory);
  }

  /** The level by what has been seen until now; costs nothing. */
  get latest(): Zero {
    return this.history.latest;
  }

  private close(t: Float64Array, y: Float64Array): void {
    const mean = y.reduce((sum, value) => sum + value, 0) / y.length;
    const off = y.map((value) => value - mean);
    this.squares += off.reduce((sum, value) => sum + value * value, 0);
    this.dof += y.length - 1;
    this.humHz = findHum(t, off)?.hz ?? this.humHz;
    const level = fitLevel(t, y, { humHz: this.humHz, sampleSigma: this.sampleSigma });
    if (level === null) return;
    if (y.length >= LEAST_FOR_MEMORY) {
      this.noteMemory((level.variance * y.length) / Math.max(level.neighbourSigma ** 2, QUANTISING_VARIANCE));
    }
    const tS = (t[0] + t[t.length - 1]) / 2;
    const before = this.stretches[this.stretches.length - 1];
    const faded = before === undefined ? 1 : weightAfter(tS - before.tS);
    this.gather({ tS, counts: level.counts, information: 1 / level.variance, faded });
  }

  private noteMemory(memory: number): void {
    this.memories.push(memory);
    if (this.memories.length > MOST_MEMORIES) this.memories.shift();
    this.middleMemory = lowerMedian(this.memories);
  }

  private gather(stretch: Stretch): void {
    const before = this.stretches[this.stretches.length - 1];
    if (before !== undefined) {
      const allowed = 1 / stretch.information + 1 / before.information;
      this.apart += (stretch.counts - before.counts) ** 2 / allowed;
      this.allowed += allowed;
      this.pairs += 1;
    }
    this.stretches.push(stretch);
    const widening = this.pairs < LEAST_PAIRS ? 1 : Math.max(1, this.apart / this.pairs);
    const { nominal, stretches } = this;
    this.history = new ZeroHistory({ nominal, stretches, widening, slowVariance: this.slowVariance() });
  }

  private slowVariance(): number {
    if (this.pairs < LEAST_PAIRS) return 0;
    const chance = 1 + CHANCE_SIGMAS * Math.sqrt(2 / this.pairs);
    return (Math.max(0, this.apart / this.pairs - chance) * (this.allowed / this.pairs)) / 2;
  }
}

interface Seen {
  nominal: number;
  /** In order of time; more may come, which do not count. */
  stretches: readonly Stretch[];
  /** How many times as far as their own variances allow stretches lie apart, squared. */
  widening: number;
  slowVariance: number;
}

/** The zero through a run by what was seen until a moment. Never changes: when more has been seen, another takes its place. */
export class ZeroHistory {
  /** At the newest stretch; the bench file's word where there is none. */
  readonly latest: Zero;
  private readonly seen: Seen;
  private readonly count: number;

  constructor(seen: Seen) {
    this.seen = seen;
    this.count = seen.stretches.length;
    this.latest = this.at(seen.stretches[this.count - 1]?.tS ?? 0);
  }

  /**
   * Variance in counts² by which slow noise moves the current of some seconds against the zero: half the mean square by which neighbouring
   * stretches lie apart beyond chance. Noise whose power goes as one over the frequency has the same (Allan) variance over any time: it
   * does not average away, and a null found in contact is moved by it as one more stretch is.
   */
  get slowVariance(): number {
    return this.seen.slowVariance;
  }

  /** Level at a time, from what was seen around it: a straight line, hardly steeper than a zero may drift. */
  at(tS: number): Zero {
    const { nominal, widening } = this.seen;
    const sums = this.sumsAround(tS);
    if (!(sums.w > NO_INFORMATION)) return { counts: nominal, uCounts: UNKNOWN_U_COUNTS, seen: false };
    const slow = lineThrough(sums, widening / SLOW_DRIFT ** 2);
    const fast = lineThrough(sums, widening / FAST_DRIFT ** 2);
    // A drift faster than usual is believed only where it explains a good deal.
    const line = slow.chiSquare - fast.chiSquare > EARNED * widening ? fast : slow;
    return { counts: nominal + line.level, uCounts: line.u * Math.sqrt(widening), seen: true };
  }

  /** Sums of weight times powers of the time off, in units of the memory, and of the level above nominal. */
  private sumsAround(tS: number): Sums {
    const { nominal, stretches } = this.seen;
    const sums: Sums = { w: 0, wt: 0, wtt: 0, wy: 0, wty: 0, wyy: 0, ww: 0 };
    const last = this.lastBefore(tS + TOO_LATE * MEMORY_S);
    let near = 0;
    for (let index = last; index >= 0; index -= 1) {
      const stretch = stretches[index];
      const off = (stretch.tS - tS) / MEMORY_S;
      if (-off > FORGOTTEN && sums.w > 0) break;
      // From one stretch to the next by a product: an exponential for each costs ten times as much.
      const later = stretches[index + 1];
      if (index === last || (off <= 0 && later.tS > tS)) near = weightAfter(Math.abs(stretch.tS - tS));
      else near = off > 0 ? near / later.faded : near * later.faded;
      const weight = near * stretch.information;
      const y = stretch.counts - nominal;
      sums.w += weight;
      sums.wt += weight * off;
      sums.wtt += weight * off * off;
      sums.wy += weight * y;
      sums.wty += weight * off * y;
      sums.wyy += weight * y * y;
      sums.ww += near * weight;
    }
    return sums;
  }

  /** Index of the last stretch before a time, by halving: hours have thousands. */
  private lastBefore(tS: number): number {
    const { stretches } = this.seen;
    let [low, high] = [0, this.count];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (stretches[middle].tS < tS) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }
}

interface Sums {
  w: number;
  wt: number;
  wtt: number;
  wy: number;
  wty: number;
  wyy: number;
  ww: number;
}

/** Weighted line with its slope held near none by a prior of the information given. */
function lineThrough(sums: Sums, prior: number): { level: number; u: number; chiSquare: number } {
  const tt = sums.wtt + prior;
  const determinant = sums.w * tt - sums.wt * sums.wt;
  const level = (sums.wy * tt - sums.wty * sums.wt) / determinant;
  const slope = (sums.w * sums.wty - sums.wt * sums.wy) / determinant;
  return {
    level,
    // Stretches far off count for less than they know: the squared weights over the weights are their share.
    u: Math.sqrt((tt / determinant) * (sums.ww / sums.w)),
    chiSquare: sums.wyy - level * sums.wy - slope * sums.wty,
  };
}
