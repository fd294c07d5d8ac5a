/** Turns a board's wrapping counters into one growing time, and counts what was lost on the way. */

const CLOCK_WRAP_US = 2 ** 32;
const SEQ_WRAP = 65536;
const CLOCK_WRAP_MS = CLOCK_WRAP_US / 1000;
/** How early or late the host may have seen the neighbours of a gap. */
const HOST_LATE_MS = 60_000;
/**
 * By how much the board's clock and the host's may differ over a gap beyond the wrap and be one clock still: what a host puts
 * off, and ten times a crystal's error of 0.01 % (common practice, no source).
 */
const SAME_CLOCK_US = 10e6;
const SAME_CLOCK_SHARE = 1e-3;
/**
 * By what share two clocks, or time and sequence numbers, may disagree across a wrap: a resonator's error of 0.5 %,
 * twice over.
 */
const WRAP_SHARE = 0.01;
/** Samples by which they may besides: jitter. */
const SEQ_SLACK = 3;
/** No board samples more slowly, in microseconds. */
const LONGEST_PERIOD_US = 1e6;
/** Neighbours over which the sampling period is averaged: single steps jitter. */
const PERIOD_MEMORY = 64;

export interface Tick {
  /** Microseconds since the first sample of the recording, growing across wraps and boots. */
  tUs: number;
  /** The board started anew just before this sample. */
  booted: boolean;
  /** Samples missing just before this one. */
  lost: number;
}

const forward = (from: number, to: number, wrap: number): number => (to - from + wrap) % wrap;

export class BoardClock {
  private seq = -1;
  private rawUs = 0;
  private hostMs = 0;
  private tUs = 0;
  /** Sampling period between neighbours, a running mean in microseconds; 0 while unknown. */
  private periodUs = 0;

  /** Takes the next sample's counters; `hostMs` is used across boots and gaps beyond the wrap only. */
  accept(seq: number, rawUs: number, hostMs: number): Tick {
    if (this.seq < 0) return this.settle(seq, rawUs, hostMs, 0, false, 0);
    const seqStep = forward(this.seq, seq, SEQ_WRAP);
    const stepUs = forward(this.rawUs, rawUs, CLOCK_WRAP_US);
    const hostGapMs = hostMs - this.hostMs;
    if (hostGapMs > CLOCK_WRAP_MS - HOST_LATE_MS)
      return this.acceptAfterLongGap(seq, rawUs, hostMs, seqStep, stepUs);
    if (rawUs < this.rawUs && !this.isWrap(seqStep, stepUs, hostGapMs)) {
      return this.settle(seq, rawUs, hostMs, Math.max(0, hostGapMs) * 1000, true, 0);
    }
    if (seqStep === 1 && stepUs > 0) this.followPeriod(stepUs);
    return this.settle(seq, rawUs, hostMs, stepUs, false, this.lostIn(seqStep, stepUs));
  }

  private followPeriod(stepUs: number): void {
    if (this.periodUs === 0) this.periodUs = stepUs;
    else this.periodUs += (stepUs - this.periodUs) / PERIOD_MEMORY;
  }

  private settle(
    seq: number,
    rawUs: number,
    hostMs: number,
    stepUs: number,
    booted: boolean,
    lost: number,
  ): Tick {
    this.seq = seq;
    this.rawUs = rawUs;
    this.hostMs = hostMs;
    this.tUs += stepUs;
    return { tUs: this.tUs, booted, lost };
  }

  /** Both counters may have wrapped several times: the host's clock tells how often. */
  private acceptAfterLongGap(
    seq: number,
    rawUs: number,
    hostMs: number,
    seqStep: number,
    stepUs: number,
  ): Tick {
    const hostUs = (hostMs - this.hostMs) * 1000;
    const wraps = Math.max(0, Math.round((hostUs - stepUs) / CLOCK_WRAP_US));
    const wholeUs = stepUs + wraps * CLOCK_WRAP_US;
    const sameClock = Math.abs(wholeUs - hostUs) < SAME_CLOCK_US + SAME_CLOCK_SHARE * hostUs;
    return sameClock
      ? this.settle(seq, rawUs, hostMs, wholeUs, false, this.lostIn(seqStep, wholeUs))
      : this.settle(seq, rawUs, hostMs, hostUs, true, 0);
  }

  /**
   * Whether a clock that fell back has wrapped rather than started anew: after a wrap the sequence number
   * has gone on as far as the time that went by, and the host has waited about as long; after a boot they have not.
   */
  private isWrap(seqStep: number, stepUs: number, hostGapMs: number): boolean {
    if (Math.abs(hostGapMs - stepUs / 1000) > HOST_LATE_MS + WRAP_SHARE * hostGapMs) return false;
    if (this.periodUs === 0) return stepUs / Math.max(1, seqStep) < LONGEST_PERIOD_US;
    const expected = stepUs / this.periodUs;
    const off = Math.abs(expected - seqStep) % SEQ_WRAP;
    return Math.min(off, SEQ_WRAP - off) <= SEQ_SLACK + WRAP_SHARE * expected;
  }

  /** Missing sequence numbers; a gap of more than 65536 samples is told by the time it took. */
  private lostIn(seqStep: number, stepUs: number): number {
    if (this.periodUs === 0) return Math.max(0, seqStep - 1);
    const turns = Math.max(0, Math.round((stepUs / this.periodUs - seqStep) / SEQ_WRAP));
    return Math.max(0, seqStep + turns * SEQ_WRAP - 1);
  }
}
