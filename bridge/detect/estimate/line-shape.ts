import { neighbourSigma } from './noise.ts';
import type { Fit } from './polynomial-fit.ts';
import type { Window } from './window.ts';
import { indicesInUse, picked } from './window.ts';

/**
 * Is what was fitted a line at all? Jumps, a current that dies away, or two lines in one pass leave residuals that hang
 * together: blocks of neighbouring places scatter about the curve by more than their noise allows.
 */

const BLOCKS = 10;
/** Blocks may lie off the line by this share of its whole rise, beside what noise allows. */
const STRUCTURE_SHARE = 0.03;
const BLOCK_SIGMAS = 5;
/** Quantising alone. */
const LEAST_SIGMA = 0.3;

/** The noise is taken from neighbours, never from the fit's own misfit: that would excuse itself. */
export function isLine(window: Window, fit: Fit, noiseMemory: number): boolean {
  const sigma = Math.max(LEAST_SIGMA, neighbourSigma(picked(fit.residuals, indicesInUse(window))));
  const share = STRUCTURE_SHARE * 2 * Math.abs(fit.curve.coefficients[1]);
  return blocksOf(window, fit).every(
    ({ sum, count }) =>
      count === 0 || Math.abs(sum / count) < share + BLOCK_SIGMAS * sigma * Math.sqrt(noiseMemory / count),
  );
}

interface Block {
  sum: number;
  count: number;
}

function blocksOf(window: Window, fit: Fit): Block[] {
  const blocks = Array.from({ length: BLOCKS }, () => ({ sum: 0, count: 0 }));
  for (let index = 0; index < fit.residuals.length; index += 1) {
    const share = (window.x[index] - window.centreCm + window.halfCm) / (2 * window.halfCm);
    const block = blocks[Math.min(BLOCKS - 1, Math.max(0, Math.floor(share * BLOCKS)))];
    block.sum += fit.residuals[index];
    block.count += 1;
  }
  return blocks;
}
