import { BLOCK_S, type DriverBlock } from './driver-blocks.ts';
import type { DriverStretch } from './driver-history.ts';
import { DriverHistory, DriverReadings } from './driver-history.ts';
import { openUpToMa } from './key-open.ts';

/**
 * The driver current through a run: where a change of it begins a new set of observations, how it drifts
 * within one, and how long current has flowed through the wire.
 *
 * The rule of the recording's format: without `set` events a change of more than 1 % within 10 s that holds for 2 s
 * begins a set; an open key (under 5 %) is no change, the currents before and after it are compared.
 */

const HOLD_BLOCKS = 8;
const CHANGE = 0.01;
const LOOK_BACK_S = 10;

interface Block {
  /** Seconds of time with the key closed. */
  closedS: number;
  tS: number;
  mA: number;
}

/** Number, mean and sum of squares about it of some readings in mA (B. P. Welford, Technometrics 4, 419 (1962), from memory). */
interface Sums {
  n: number;
  mean: number;
  squares: number;
}

const NOTHING: Sums = { n: 0, mean: 0, squares: 0 };

function plus({ n, mean, squares }: Sums, mA: number): Sums {
  const next = mean + (mA - mean) / (n + 1);
  return { n: n + 1, mean: next, squares: squares + (mA - mean) * (mA - next) };
}

const blockOf = ({ n, mean, squares }: Sums) => ({
  mA: mean,
  variance: squares / Math.max(1, n - 1),
  readings: n,
});

/** What the branch may take, in steps of the converter or as a share of the current: so little is added without harm (common practice, no source). */
const BRANCH_STEPS = 0.1;
const BRANCH_SHARE = 3e-5;

export class DriverTrack {
  /** Counts up when the current leaves its level: taps before and after it do not belong together. */
  epoch = 0;
  private epochOfStretch = 0;
  /** Counts up when a new level begins: sets may be numbered otherwise from now on. */
  revision = 0;
  flowingS = 0;
  flowingNowS = 0;
  private readonly stepMa: number;
  private readonly fullMa: number;
  private readonly stretches: DriverStretch[] = [];
  private all = NOTHING;
  /** Of those at which the galvanometer's branch took next to nothing. */
  private quiet = NOTHING;
  private blockStartS = Number.NaN;
  private closedS = 0;
  private recent: Block[] = [];
  private levels: Block[] = [];
  private level = 0;
  private away = false;
  /** First and last touch since the present stretch began; a stretch without one gives its number to the next. */
  private firstTouchS = Number.POSITIVE_INFINITY;
  private lastTouchS = Number.NEGATIVE_INFINITY;
  private newest: number | null = null;
  private readonly readings: DriverReadings;
  /** The newest with the key closed: it counts once the next one is closed, too. */
  private pending: DriverBlock | null = null;
  private afterOpen = false;
  /** As sealed last. */
  private sealed: DriverHistory;

  /**
   * @param stepMa what one count of the driver channel is worth, in mA
   * @param fullMa what would flow with the wire alone in the driver's circuit; 0 where that is not known
   */
  constructor(stepMa: number, fullMa = 0) {
    this.stepMa = stepMa;
    this.fullMa = fullMa;
    this.readings = new DriverReadings(stepMa);
    this.sealed = this.seal();
  }

  /**
   * @param mA as it would be with no current in the galvanometer's branch
   * @param branchMa what of it that current took, and had to be added: a coarse converter may not have shown it
   */
  accept(tS: number, mA: number, branchMa = 0): void {
    if (!(tS - this.blockStartS < BLOCK_S)) {
      if (this.all.n > 0) this.endBlock(this.blockStartS, Math.min(1, tS - this.blockStartS));
      this.blockStartS = tS;
      this.all = NOTHING;
      this.quiet = NOTHING;
    }
    this.all = plus(this.all, mA);
    const most = Math.max(BRANCH_STEPS * this.stepMa, BRANCH_SHARE * Math.abs(mA));
    if (Math.abs(branchMa) <= most) this.quiet = plus(this.quiet, mA);
  }

  /** The jockey has touched the wire: the set of that time is not empty. */
  noteTouch(tS: number): void {
    this.firstTouchS = Math.min(this.firstTouchS, tS);
    this.lastTouchS = Math.max(this.lastTouchS, tS);
  }

  /** The newest current in mA, averaged over a quarter of a second; null before anything was measured. */
  get latestMa(): number | null {
    return this.newest ?? (this.all.n > 0 ? this.all.mean : null);
  }

  /** Whether no current flows now; null before anything was measured. */
  get keyOpen(): boolean | null {
    return this.latestMa === null ? null : this.isOpen(this.latestMa);
  }

  /** What had been measured when it was sealed last. */
  get history(): DriverHistory {
    return this.sealed;
  }

  /** What has been measured until now counts in the history; what comes later does not until it is sealed too. */
  seal(): DriverHistory {
    const { readings, latestMa, stepMa, fullMa } = this;
    const untilS = readings.blocks.lastS;
    this.sealed = new DriverHistory([...this.stretches], { readings, untilS, latestMa }, stepMa, fullMa);
    return this.sealed;
  }

  private endBlock(tS: number, spanS: number): void {
    const mA = this.all.mean;
    this.newest = mA;
    const closed = !this.isOpen(mA);
    this.keep(closed, { tS: tS + spanS / 2, ...blockOf(this.quiet) });
    if (!closed) {
      this.flowingNowS = 0;
      this.recent = [];
      return;
    }
    this.flowingS += spanS;
    this.flowingNowS += spanS;
    this.closedS += spanS;
    const block = { closedS: this.closedS, tS, mA };
    this.recent.push(block);
    if (this.recent.length > HOLD_BLOCKS) this.recent.shift();
    this.watchLevel(block);
  }

  /** Blocks next to an open key may hold a part of it. */
  private keep(closed: boolean, block: DriverBlock): void {
    if (this.pending !== null && this.pending.readings > 0 && closed) this.readings.blocks.add(this.pending);
    this.pending = closed && !this.afterOpen ? block : null;
    this.afterOpen = !closed;
  }

  private isOpen(mA: number): boolean {
    return Math.abs(mA) <= openUpToMa(this.stepMa, this.level === 0 ? null : this.level, this.fullMa);
  }

  private watchLevel(block: Block): void {
    const nowAway = this.level !== 0 && Math.abs(block.mA / this.level - 1) > CHANGE;
    if (nowAway && !this.away) this.epoch += 1;
    this.away = nowAway;
    const held = this.heldLevel();
    if (held === null) return;
    const before = this.levelBefore(held);
    if (before !== null && Math.abs(held.mA / before - 1) > CHANGE) this.beginStretch(held);
    else if (this.stretches.length === 0) this.beginStretch(held);
    this.level = held.mA;
    this.levels.push(held);
    while (this.levels.length > 1 && held.closedS - this.levels[0].closedS > LOOK_BACK_S + 2)
      this.levels.shift();
  }

  /** The mean of the last 2 s where the current held still; null where it did not. */
  private heldLevel(): Block | null {
    if (this.recent.length < HOLD_BLOCKS) return null;
    const mA = this.recent.reduce((sum, block) => sum + block.mA, 0) / this.recent.length;
    const tolerance = Math.max(0.005 * Math.abs(mA), 0.75 * this.stepMa);
    const still = this.recent.every((block) => Math.abs(block.mA - mA) <= tolerance);
    return still ? { ...this.recent[0], mA } : null;
  }

  /** The level within the last 10 s, or the last one held before, that lies furthest from the new one. */
  private levelBefore(held: Block): number | null {
    let furthest: number | null = null;
    for (const level of this.levels) {
      if (furthest === null || Math.abs(level.mA - held.mA) > Math.abs(furthest - held.mA))
        furthest = level.mA;
    }
    return furthest;
  }

  private beginStretch(held: Block): void {
    const last = this.stretches[this.stretches.length - 1];
    const set = last === undefined ? 1 : last.set + (this.firstTouchS < held.tS ? 1 : 0);
    if (last !== undefined)
      this.firstTouchS = this.lastTouchS >= held.tS ? this.lastTouchS : Number.POSITIVE_INFINITY;
    // The current has mostly been seen leaving its level; a change too slow for that is marked here.
    if (last !== undefined && this.epoch === this.epochOfStretch) this.epoch += 1;
    this.epochOfStretch = this.epoch;
    this.revision += 1;
    this.levels = [];
    const fromS = last === undefined ? Number.NEGATIVE_INFINITY : held.tS;
    this.stretches.push({ fromS, levelMa: held.mA, set });
    this.seal();
  }
}
