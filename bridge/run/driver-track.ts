import type { CurrentPoint } from './driver-fit.ts';
import { currentFit, DRIFT_UNKNOWN, halved } from './driver-fit.ts';
import type { DriverStretch } from './driver-history.ts';
import { DriverHistory } from './driver-history.ts';
import { openUpToMa } from './key-open.ts';

/**
 * The driver current through a run: where a change of it begins a new set of observations, how it drifts
 * within one, and how long current has flowed through the wire.
 *
 * The rule of the recording's format: without `set` events a change of more than 1 % within 10 s that holds for 2 s
 * begins a set; an open key (under 5 %) is no change, the currents before and after it are compared.
 */

const BLOCK_S = 0.25;
const HOLD_BLOCKS = 8;
const CHANGE = 0.01;
const LOOK_BACK_S = 10;
const MOST_POINTS = 256;

interface Block {
  /** Seconds of time with the key closed. */
  closedS: number;
  tS: number;
  mA: number;
}

interface Stretch extends DriverStretch {
  points: CurrentPoint[];
  blocksAPoint: number;
}

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
  private readonly stretches: Stretch[] = [];
  private sum = 0;
  private squares = 0;
  private noiseSquares = 0;
  private noiseDof = 0;
  private n = 0;
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
  /** As sealed last. */
  private sealed: DriverHistory;

  /**
   * @param stepMa what one count of the driver channel is worth, in mA
   * @param fullMa what would flow with the wire alone in the driver's circuit; 0 where that is not known
   */
  constructor(stepMa: number, fullMa = 0) {
    this.stepMa = stepMa;
    this.fullMa = fullMa;
    this.sealed = new DriverHistory([], null, stepMa, fullMa);
  }

  accept(tS: number, mA: number): void {
    if (!(tS - this.blockStartS < BLOCK_S)) {
      if (this.n > 0) this.endBlock(this.blockStartS, this.sum / this.n, Math.min(1, tS - this.blockStartS));
      this.blockStartS = tS;
      this.sum = 0;
      this.squares = 0;
      this.n = 0;
    }
    this.sum += mA;
    this.squares += mA * mA;
    this.n += 1;
  }

  /** The jockey has touched the wire: the set of that time is not empty. */
  noteTouch(tS: number): void {
    this.firstTouchS = Math.min(this.firstTouchS, tS);
    this.lastTouchS = Math.max(this.lastTouchS, tS);
  }

  /** The newest current in mA, averaged over a quarter of a second; null before anything was measured. */
  get latestMa(): number | null {
    return this.newest ?? (this.n > 0 ? this.sum / this.n : null);
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
    const stretch = this.stretches[this.stretches.length - 1];
    if (stretch !== undefined) stretch.at = currentFit(stretch.points, this.hiddenStepMa());
    const { latestMa } = this;
    const loose = latestMa === null ? null : { mA: latestMa, uDriftPerS: DRIFT_UNKNOWN };
    const stretches = this.stretches.map(({ fromS, levelMa, set, at }) => ({ fromS, levelMa, set, at }));
    this.sealed = new DriverHistory(stretches, loose, this.stepMa, this.fullMa);
    return this.sealed;
  }

  private endBlock(tS: number, mA: number, spanS: number): void {
    this.newest = mA;
    this.noiseSquares += Math.max(0, this.squares - this.n * mA * mA);
    this.noiseDof += this.n - 1;
    if (this.isOpen(mA)) {
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
    if (this.level !== 0 && Math.abs(mA / this.level - 1) < CHANGE) this.keep(block);
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
    this.seal();
    this.stretches.push({
      fromS: last === undefined ? Number.NEGATIVE_INFINITY : held.tS,
      levelMa: held.mA,
      set,
      points: [],
      blocksAPoint: 1,
      at: () => ({ mA: held.mA, uDriftPerS: DRIFT_UNKNOWN }),
    });
    for (const block of this.recent.slice(0, -1)) this.keep(block);
    this.seal();
  }

  private keep(block: Block): void {
    const stretch = this.stretches[this.stretches.length - 1];
    if (stretch === undefined) return;
    const { points } = stretch;
    const last = points[points.length - 1];
    if (last !== undefined && last.blocks < stretch.blocksAPoint) {
      last.blocks += 1;
      last.mA += (block.mA - last.mA) / last.blocks;
      last.tS += (block.tS - last.tS) / last.blocks;
    } else {
      points.push({ tS: block.tS, mA: block.mA, blocks: 1 });
    }
    if (points.length <= MOST_POINTS) return;
    stretch.points = halved(points);
    stretch.blocksAPoint *= 2;
  }

  /** A current whose noise is far below one step of the converter hides a drift of a part of a step. */
  private hiddenStepMa(): number {
    const noise = this.noiseDof < 50 ? 0 : Math.sqrt(this.noiseSquares / this.noiseDof);
    return noise < 0.25 * this.stepMa ? 0.3 * this.stepMa : 0;
  }
}
