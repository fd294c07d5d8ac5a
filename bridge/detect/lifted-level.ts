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
const FORGOTTEN_S = 12 * MEMORY_S;
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

  at(tS: number): Level {
    let weights = 0;
    let sum = 0;
    let squares = 0;
    for (let index = this.stretches.length - 1; index >= 0; index -= 1) {
      const stretch = this.stretches[index];
      if (tS - stretch.tS > FORGOTTEN_S && weights > 0) break;
      const near = Math.exp(-Math.abs(tS - stretch.tS) / MEMORY_S);
      const weight = near * stretch.blocks;
      weights += weight;
      sum += weight * stretch.mean;
      squares += near * weight;
    }
    if (!(weights > 1e-12)) return { counts: this.nominal, uCounts: 2, seen: false };
    return { counts: sum / weights, uCounts: (this.blockSigma() * Math.sqrt(squares)) / weights, seen: true };
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
