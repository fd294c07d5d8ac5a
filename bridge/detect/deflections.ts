import type { Pass } from './pass.ts';
import type { Tap } from './tap.ts';

/** One place on the wire and the current seen there: what the connection check looks at. */
export interface Deflection {
  tS: number;
  xCm: number;
  /** Counts from zero; at the span's end only its sign says something. */
  offCounts: number;
  saturated: boolean;
  uCounts: number;
}

/** Places that tell which way the current goes along a pass; more would only fill memory (common practice, no source). */
const DEFLECTIONS_A_PASS = 16;
const LEAST_SAMPLES_A_BLOCK = 4;

export const deflectionOf = (tap: Tap, zeroCounts: number): Deflection => ({
  tS: tap.tS,
  xCm: tap.xCm,
  offCounts: tap.y - zeroCounts,
  saturated: tap.saturated !== 0,
  uCounts: tap.saturated !== 0 ? 0 : Math.sqrt(tap.yVariance),
});

/** A pass in a few blocks of samples, each as one place and its mean current. */
export function alongPass(pass: Pass, zeroCounts: number): Deflection[] {
  const n = pass.t.length - pass.start;
  const blocks = Math.min(DEFLECTIONS_A_PASS, Math.floor(n / LEAST_SAMPLES_A_BLOCK));
  const deflections: Deflection[] = [];
  for (let block = 0; block < blocks; block += 1) {
    const from = pass.start + Math.floor((block * n) / blocks);
    const to = pass.start + Math.floor(((block + 1) * n) / blocks);
    deflections.push(meanDeflection(pass, from, to, zeroCounts));
  }
  return deflections;
}

function meanDeflection(pass: Pass, from: number, to: number, zeroCounts: number): Deflection {
  let x = 0;
  let y = 0;
  let saturated = 0;
  for (let index = from; index < to; index += 1) {
    x += pass.x[index];
    y += pass.y[index];
    saturated += Math.abs(pass.saturated[index]);
  }
  const n = to - from;
  return {
    tS: pass.t[from],
    xCm: x / n,
    offCounts: y / n - zeroCounts,
    saturated: saturated > n / 2,
    uCounts: 1 / Math.sqrt(n),
  };
}
