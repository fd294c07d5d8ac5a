import { median } from '../../calc-core/median.ts';
import { LEAST_SIGMA_COUNTS, neighbourSigma } from './noise.ts';
import type { Fit } from './polynomial-fit.ts';
import type { Window } from './window.ts';
import { indicesInUse, picked } from './window.ts';

/**
 * Is what was fitted a line at all? Jumps, a current that dies away, or two lines in one pass leave residuals that hang
 * together: blocks of neighbouring places scatter about the curve by more than their noise allows.
 */

const BLOCKS = 10;
/** Blocks may lie off the line by this share of its whole rise, beside what noise allows (common practice, no source). */
const STRUCTURE_SHARE = 0.03;
const BLOCK_SIGMAS = 5;

/**
 * The noise is taken from neighbours, never from the fit's own misfit: that would excuse itself. Medians, so that contact
 * lost for moments is forgiven.
 */
export function isLine(window: Window, fit: Fit, noiseMemory: number): boolean {
  const sigma = Math.max(LEAST_SIGMA_COUNTS, neighbourSigma(picked(fit.residuals, indicesInUse(window))));
  const share = STRUCTURE_SHARE * 2 * Math.abs(fit.curve.coefficients[1]);
  return blocksOf(window, fit).every(
    (block) =>
      block.length === 0 ||
      Math.abs(median(block)) < share + BLOCK_SIGMAS * sigma * Math.sqrt(noiseMemory / block.length),
  );
}

/** Residuals of all samples, left out or not, by place. */
function blocksOf(window: Window, fit: Fit): number[][] {
  const blocks = Array.from({ length: BLOCKS }, (): number[] => []);
  for (let index = 0; index < fit.residuals.length; index += 1) {
    const share = (window.x[index] - window.centreCm + window.halfCm) / (2 * window.halfCm);
    blocks[Math.min(BLOCKS - 1, Math.max(0, Math.floor(share * BLOCKS)))].push(fit.residuals[index]);
  }
  return blocks;
}
