import { robustSigma } from './estimate/noise.ts';

/**
 * The galvanometer's true zero: what it reads while the jockey is lifted, followed through the run.
 *
 * Samples are averaged in blocks of 0.1 s, which hold whole periods of both mains frequencies, so that hum
 * averages out; blocks are gathered in stretches of a few seconds, so that hours fit in little memory.
 */

const BLOCK_S = 0.1;
const BLOCKS_A_STRETCH = 50;
/** The zero at a time is the mean of what was seen around it, with weights falling off over this many seconds. */
const MEMORY_S = 90;
/** Multiples of it beyond which nothing counts. */
const FORGOTTEN = 12;
/** By how many counts a zero may be expected to drift in that time (common practice, no source). */
const DRIFT_PER_MEMORY = 0.5;
const LEAST_IN_BLOCK = 4;

interface Stretch {
  tS: number;
  mean: number;
  blocks: number;
}

export interface Level {
  counts: number;
  uCounts: number;
  /** False while no lifted jockey has been seen: `counts` is then the bench file's word. */
  seen: boolean;
}

export class LiftedLevel {
  private readonly nominal: number;
  private newest: Level;
  private readonly stretches: Stretch[] = [];
  private block: number[] = [];
  private blockStartS = 0;
  private previousBlock: number | null = null;
  // Pooled over the run: spread of samples within blocks, and of neighbouring blocks.
  private sampleSquares = 0;
  private sampleDof = 0;
  private blockSquares = 0;
  private blockPairs = 0;
  private blockProducts = 0;
  private blockCount = 0;
  private lastDeviation: number | null = null;

  constructor(nominal: number) {
    this.nominal = nominal;
    this.newest = { counts: nominal, uCounts: 2, seen: false };
  }

  /** Takes a sample of the lifted, settled galvanometer. */
  accept(tS: number, counts: number): void {
    if (this.block.length > 0 && tS - this.blockStartS >= BLOCK_S) this.closeBlock();
    if (this.block.length === 0) this.blockStartS = tS;
    this.block.push(counts);
  }

  /** The jockey touches again, or samples are missing: what follows is no neighbour of what came before. */
  interrupt(): void {
    this.block = [];
    this.previousBlock = null;
    this.lastDeviation = null;
  }

  /** Standard deviation of one sample in counts, hum included; a count where nothing is known yet. */
  get sampleSigma(): number {
    return this.sampleDof < 20 ? 1 : Math.max(0.29, Math.sqrt(this.sampleSquares / this.sampleDof));
  }

  /** The level by what has been seen until now; costs nothing. */
  get latest(): Level {
    return this.newest;
  }

  /** Level at a time, from what was seen around it: a straight line, hardly steeper than a zero may drift. */
  at(tS: number): Level {
    // Sums of weight times powers of the time off, in units of MEMORY_S.
    let w = 0;
    let wt = 0;
    let wtt = 0;
    let wy = 0;
    let wty = 0;
    let noise = 0;
    for (let index = this.stretches.length - 1; index >= 0; index -= 1) {
      const stretch = this.stretches[index];
      const off = (stretch.tS - tS) / MEMORY_S;
      if (-off > FORGOTTEN && w > 0) break;
      const near = Math.exp(-Math.abs(off));
      const weight = near * stretch.blocks;
      w += weight;
      wt += weight * off;
      wtt += weight * off * off;
      wy += weight * (stretch.mean - this.nominal);
      wty += weight * off * (stretch.mean - this.nominal);
      noise += near * weight;
    }
    if (!(w > 1e-12)) return { counts: this.nominal, uCounts: 2, seen: false };
    const sigma = this.blockSigma();
    const prior = (sigma / DRIFT_PER_MEMORY) ** 2;
    const determinant = w * (wtt + prior) - wt * wt;
    return {
      counts: this.nominal + (wy * (wtt + prior) - wty * wt) / determinant,
      // Weights below one make the information less than their sum: noise over weight is its share.
      uCounts: sigma * Math.sqrt(((wtt + prior) / determinant) * (noise / w)),
      seen: true,
    };
  }

  private blockSigma(): number {
    if (this.blockPairs < 5) return this.sampleSigma;
    const variance = this.blockSquares / (2 * this.blockPairs);
    const correlation =
      this.blockCount < 20 ? 0 : this.blockProducts / Math.max(1e-12, this.blockPairs * variance);
    const widening = 1 + 2 * Math.min(0.9, Math.max(0, correlation));
    return Math.max(0.02, Math.sqrt(variance * widening));
  }

  private closeBlock(): void {
    const samples = this.block;
    this.block = [];
    if (samples.length < LEAST_IN_BLOCK) return;
    const mean = this.trimmedMean(samples);
    if (this.previousBlock !== null) {
      const deviation = mean - this.previousBlock;
      this.blockSquares += deviation * deviation;
      this.blockPairs += 1;
      // White blocks have neighbouring differences that repeat each other by -1/2; what exceeds it is drift.
      if (this.lastDeviation !== null)
        this.blockProducts += deviation * this.lastDeviation + (deviation ** 2 + this.lastDeviation ** 2) / 4;
      this.lastDeviation = deviation;
    }
    this.previousBlock = mean;
    this.blockCount += 1;
    this.gather(mean);
    this.newest = this.at(this.blockStartS);
  }

  private trimmedMean(samples: number[]): number {
    const sorted = [...samples].sort((a, b) => a - b);
    const median = sorted[sorted.length >> 1];
    const off = Float64Array.from(samples, (value) => value - median);
    const limit = 5 * Math.max(robustSigma(off), 0.5);
    let sum = 0;
    let n = 0;
    for (const value of off) {
      if (Math.abs(value) > limit) continue;
      sum += value;
      n += 1;
    }
    const mean = sum / n;
    for (const value of off) if (Math.abs(value) <= limit) this.sampleSquares += (value - mean) ** 2;
    this.sampleDof += n - 1;
    return median + mean;
  }

  private gather(mean: number): void {
    const last = this.stretches[this.stretches.length - 1];
    if (last === undefined || last.blocks >= BLOCKS_A_STRETCH || this.blockStartS - last.tS > 10) {
      this.stretches.push({ tS: this.blockStartS, mean, blocks: 1 });
      return;
    }
    last.blocks += 1;
    last.mean += (mean - last.mean) / last.blocks;
    last.tS += (this.blockStartS - last.tS) / last.blocks;
  }
}
