import { median } from '../calc-core/median.ts';
import { neighbourSigma } from '../detect/estimate/noise.ts';

/** The driver current block by block, and the stretches of it between one change and the next. */

/** Seconds that a block of readings takes. */
export const BLOCK_S = 0.25;

export interface DriverBlock {
  tS: number;
  /** Mean of the readings in mA. */
  mA: number;
  /** Their variance in mA² about it. */
  variance: number;
  readings: number;
}

/** Grows by four blocks a second: an hour takes about a megabyte. */
export class DriverBlocks {
  private readonly blocks: DriverBlock[] = [];

  add(block: DriverBlock): void {
    this.blocks.push(block);
  }

  /** Blocks of a time, ends included, in order. */
  between(fromS: number, toS: number): DriverBlock[] {
    return this.blocks.slice(this.firstAt(fromS), this.firstAt(toS + 1e-9));
  }

  get lastS(): number {
    return this.blocks[this.blocks.length - 1]?.tS ?? Number.NEGATIVE_INFINITY;
  }

  /** Index of the first block at a time or later. */
  private firstAt(tS: number): number {
    let [low, high] = [0, this.blocks.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.blocks[middle].tS < tS) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

/** Some blocks as one. */
export function together(blocks: readonly DriverBlock[]): DriverBlock {
  const readings = blocks.reduce((sum, block) => sum + block.readings, 0);
  const mean = (of: (block: DriverBlock) => number) =>
    blocks.reduce((sum, block) => sum + of(block) * block.readings, 0) / readings;
  return {
    tS: mean(({ tS }) => tS),
    mA: mean(({ mA }) => mA),
    variance: mean(({ variance }) => variance),
    readings,
  };
}

/** Blocks on either side of a moment that are held against each other: 1.5 s. */
const SIDE = 6;
/** A current that goes by less than this share within 1.5 s, or by less than so many times what it mostly goes, may drift (common practice, no source). */
const STEP_SHARE = 4e-4;
const UNUSUAL = 2;
/** Of a coarse converter without noise one step, and what the branch's current adds to it, is no change; blurred by noise, a part of one is. */
const STEPS = 1.6;
const BLURRED_STEPS = 0.3;
/** Chance alone does not move a mean of 1.5 s so many standard deviations. */
const STEP_SIGMAS = 6;

/**
 * Blocks parted where the current changed faster than it drifts, or at a moment given; those during the change belong to none.
 * @param stepMa of the converter
 * @param atS moments at which a stretch ends whatever the current does, in order
 */
export function stretchesOf(
  blocks: readonly DriverBlock[],
  stepMa: number,
  atS: readonly number[],
): DriverBlock[][] {
  const changes = blocks.map((_, index) => Math.abs(changeAt(blocks, index)));
  const limit = stepLimitMa(blocks, stepMa) + UNUSUAL * median(changes);
  const stretches: DriverBlock[][] = [[]];
  let parted = 0;
  blocks.forEach((block, index) => {
    const moments = atS.filter((tS) => tS <= block.tS).length;
    const isChange = changes[index] > limit;
    if ((isChange || moments > parted) && stretches[stretches.length - 1].length > 0) stretches.push([]);
    parted = moments;
    if (!isChange) stretches[stretches.length - 1].push(block);
  });
  return stretches.filter((stretch) => stretch.length > 0);
}

/** By how much the mean of the blocks from one on differs from that of those before it; where readings are missing between, in 1.5 s on the way. */
function changeAt(blocks: readonly DriverBlock[], index: number): number {
  if (index === 0) return 0;
  const before = together(blocks.slice(Math.max(0, index - SIDE), index));
  const after = together(blocks.slice(index, index + SIDE));
  return (after.mA - before.mA) * Math.min(1, (SIDE * BLOCK_S) / (after.tS - before.tS));
}

function stepLimitMa(blocks: readonly DriverBlock[], stepMa: number): number {
  if (blocks.length < 2) return Number.POSITIVE_INFINITY;
  const sigma = neighbourSigma(Float64Array.from(blocks, ({ mA }) => mA));
  // While the current is turned readings scatter widely: the middle block tells of the others.
  const variance = median(blocks.map((block) => block.variance));
  const coarse = (variance > stepMa ** 2 / 4 ? BLURRED_STEPS : STEPS) * stepMa;
  const level = Math.abs(together(blocks).mA);
  return Math.max(STEP_SHARE * level, coarse, STEP_SIGMAS * sigma * Math.sqrt(2 / SIDE));
}
