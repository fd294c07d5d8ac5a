import type { ChannelName, SampleFrame } from '../../firmware-protocol/frames.ts';
import { CONVERTER } from '../emulate/hardware.ts';

/** What a channel reads while nothing is changed. */
export interface SteadyCounts {
  mean: number;
  /** Standard deviation of one sample, in counts. */
  scatter: number;
  /** Share of samples at an end of the stated span. */
  saturatedShare: number;
  /** Share of counts that are whole steps of the converter: about a quarter where dither is at work. */
  wholeStepShare: number;
}

export type Reading = Record<ChannelName, SteadyCounts | null>;

/** Stated span of a channel, ends included in what is saturated. */
export type Spans = Partial<Record<ChannelName, { minCount: number; maxCount: number }>>;

/** @param samples some dozens or more, taken while nothing was changed */
export function readingOf(samples: readonly SampleFrame[], spans: Spans): Reading {
  const of = (channel: ChannelName) =>
    steadyCounts(
      samples.flatMap((sample) => sample[channel] ?? []),
      spans[channel],
    );
  return { gal: of('gal'), pos: of('pos'), drv: of('drv') };
}

function steadyCounts(counts: readonly number[], span: Spans[ChannelName]): SteadyCounts | null {
  if (counts.length === 0) return null;
  const share = (is: (count: number) => boolean) => counts.filter(is).length / counts.length;
  const mean = counts.reduce((sum, count) => sum + count, 0) / counts.length;
  const square = counts.reduce((sum, count) => sum + (count - mean) ** 2, 0) / counts.length;
  return {
    mean,
    scatter: Math.sqrt(square),
    saturatedShare: span === undefined ? 0 : share((count) => isSaturated(count, span)),
    wholeStepShare: wholeStepShare(counts),
  };
}

const isSaturated = (count: number, span: { minCount: number; maxCount: number }): boolean =>
  count <= span.minCount || count >= span.maxCount;

const wholeStepShare = (counts: readonly number[]): number =>
  counts.filter((count) => count % CONVERTER.countsPerStep === 0).length / counts.length;

/** Position while the jockey goes from one end of the scale to the other. */
export interface Slide {
  least: number;
  most: number;
  saturatedShare: number;
  /** Between two samples in a row. */
  largestJump: number;
  /** Of the counts on the way, few of each: at its ends the jockey rests, and in between it may hesitate. */
  wholeStepShare: number;
}

/** So near to an end, in counts, the jockey may have been resting. */
const AT_END_COUNTS = 12;

/** Where the jockey hesitates one count comes again and again. */
const MOST_OF_ONE = 3;

function fewOfEach(counts: readonly number[]): number[] {
  const seen = new Map<number, number>();
  return counts.filter((count) => {
    const times = (seen.get(count) ?? 0) + 1;
    seen.set(count, times);
    return times <= MOST_OF_ONE;
  });
}

/** Null where there are no counts of position. */
export function slideOf(samples: readonly SampleFrame[], spans: Spans): Slide | null {
  const counts = samples.flatMap(({ pos }) => pos ?? []);
  const whole = steadyCounts(counts, spans.pos);
  if (whole === null) return null;
  const least = counts.reduce((one, other) => Math.min(one, other));
  const most = counts.reduce((one, other) => Math.max(one, other));
  const onTheWay = fewOfEach(
    counts.filter((count) => count > least + AT_END_COUNTS && count < most - AT_END_COUNTS),
  );
  const jumps = counts.slice(1).map((count, index) => Math.abs(count - counts[index]));
  return {
    least,
    most,
    saturatedShare: whole.saturatedShare,
    largestJump: jumps.reduce((one, other) => Math.max(one, other), 0),
    wholeStepShare: onTheWay.length === 0 ? 1 : wholeStepShare(onTheWay),
  };
}

/** Least fall, in counts, that two samples in a row may differ from the rest by and still tell a time. */
const LEAST_COUNTS = 6;
/** A fall of less than this is no clip that came off. */
const LEAST_STEP_COUNTS = 300;

/**
 * Time constants of the galvanometer channel, in seconds, one for each time that the current was cut off: what is left falls by
 * exp(-T/τ) from one sample to the next, T being the time between them. A contact that chatters is left out by asking the samples
 * before for nothing.
 *
 * @param zero the channel's count without current
 */
export function fallTimesS(samples: readonly SampleFrame[], zero: number): number[] {
  const left = samples.map(({ gal }) => Math.abs((gal ?? zero) - zero));
  const timesS: number[] = [];
  for (let at = 1; at < samples.length - 3; at += 1) {
    // The first sample that is wholly after the cut is the second one that differs.
    const [before, first, second] = [left[at - 1], left[at + 1], left[at + 2]];
    const fell = before > LEAST_STEP_COUNTS && left[at] < 0.97 * before && left[at] > first;
    if (!fell || second < LEAST_COUNTS || second > 0.8 * first) continue;
    const stepS = ((samples[at + 2].tUs - samples[at + 1].tUs) >>> 0) / 1e6;
    timesS.push(stepS / Math.log(first / second));
  }
  return timesS;
}
