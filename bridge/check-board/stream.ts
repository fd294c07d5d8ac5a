import type { BoardLog } from './log.ts';
import { type HeardSample, samplesOf } from './log.ts';

const SEQS = 0x1_0000;

/** Samples between two boots, in order. */
export type Stretch = HeardSample[];

/** Splits at boots: seq and tUs both fall back, and not because both wrapped in one step. */
export function stretches(log: BoardLog): Stretch[] {
  const parts: Stretch[] = [];
  let last: HeardSample | null = null;
  for (const sample of samplesOf(log)) {
    if (last === null || isBoot(last, sample)) parts.push([]);
    parts.at(-1)?.push(sample);
    last = sample;
  }
  return parts;
}

const NEAR_US = 60_000_000;

function isBoot({ frame: last }: HeardSample, { frame: next }: HeardSample): boolean {
  const wraps = last.tUs > 0xffffffff - NEAR_US && next.tUs < NEAR_US;
  return next.seq < last.seq && next.tUs < last.tUs && !wraps;
}

/** A step from one sample to the next within a stretch. */
export interface Step {
  seqs: number;
  us: number;
}

const stepsOf = (stretch: Stretch): Step[] =>
  stretch.slice(1).map(({ frame }, index) => ({
    seqs: (frame.seq - stretch[index].frame.seq + SEQS) % SEQS,
    us: (frame.tUs - stretch[index].frame.tUs) >>> 0,
  }));

/** What the stream of samples looked like. Null where too few came. */
export interface StreamFigures {
  samples: number;
  boots: number;
  lost: number;
  /** Samples a second by the board's own clock, lost ones counted. */
  rateHz: number;
  /** Standard and greatest deviation of a step from the mean period, in microseconds. */
  jitterUs: number;
  worstUs: number;
  /** Steps of which seq stood still, or tUs did not go on. */
  stuck: number;
  /** The board's clock against the host's: 0.01 is one per cent fast. Null below `CLOCK_S` seconds. */
  clockError: number | null;
  heardS: number;
}

/** Bundles of the serial adapter arrive some 20 ms late: over this long, 0.4 %. */
const CLOCK_S = 5;

export function streamFigures(log: BoardLog): StreamFigures | null {
  const parts = stretches(log);
  const steps = parts.flatMap(stepsOf);
  const samples = parts.reduce((sum, part) => sum + part.length, 0);
  const forward = steps.filter((step) => step.seqs > 0 && step.seqs < SEQS / 2);
  const seqs = forward.reduce((sum, step) => sum + step.seqs, 0);
  const us = forward.reduce((sum, step) => sum + step.us, 0);
  if (seqs < 2 || us === 0) return null;
  const periodUs = us / seqs;
  const deviations = forward.map((step) => step.us - step.seqs * periodUs);
  return {
    samples,
    boots: parts.length - 1,
    lost: seqs - forward.length,
    rateHz: 1e6 / periodUs,
    jitterUs: Math.sqrt(deviations.reduce((sum, value) => sum + value * value, 0) / deviations.length),
    worstUs: deviations.reduce((most, value) => Math.max(most, Math.abs(value)), 0),
    stuck: steps.length - forward.length + forward.filter((step) => step.us === 0).length,
    clockError: clockError(parts),
    heardS: us / 1e6,
  };
}

/** Board time against host time over the longest stretch. */
function clockError(parts: Stretch[]): number | null {
  const longest = parts.reduce((best, part) => (part.length > best.length ? part : best), parts[0]);
  const boardS = stepsOf(longest).reduce((sum, step) => sum + step.us, 0) / 1e6;
  const hostS = (longest[longest.length - 1].atMs - longest[0].atMs) / 1000;
  return hostS < CLOCK_S ? null : boardS / hostS - 1;
}

/** How far a clock that gains by a share (loses, where below zero) is off. */
export const offText = (share: number, decimals: number): string =>
  `${(100 * Math.abs(share)).toFixed(decimals)} % ${share < 0 ? 'slow' : 'fast'}`;
