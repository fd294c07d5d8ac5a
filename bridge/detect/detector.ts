import type { Bench } from '../bench/bench-file.ts';
import type { Reading } from '../bench/reading.ts';
import { type Contacted, ContactSense } from './contact-sense.ts';
import { BOUNCE_S, GAP_S } from './contact-times.ts';
import { alongPass, type Deflection, deflectionOf } from './deflections.ts';
import type { Shape } from './estimate/shape.ts';
import { shapeOf } from './estimate/shape.ts';
import type { SweepFit } from './estimate/sweep-fit.ts';
import { fitSweep } from './estimate/sweep-fit.ts';
import type { TapFit } from './estimate/tap-fit.ts';
import { fitTaps } from './estimate/tap-fit.ts';
import { LagKnowledge } from './lag.ts';
import type { Zero } from './lifted-level.ts';
import { LiftedLevel } from './lifted-level.ts';
import type { Pass } from './pass.ts';
import { ReleaseWatch } from './release.ts';
import { Settling } from './settling.ts';
import type { Tap } from './tap.ts';
import { LEAST_PLATEAU, plateau } from './tap.ts';
import { Touch } from './touch.ts';

/** What holds for a touch: labels as they were when it was made, opaque to the detection. */
export interface TouchContext<Labels> {
  labels: Labels;
  protect: boolean;
  /** Row of the wire, null where it is not known: how the current bends depends on it. */
  row: number | null;
}

export interface FoundNull<Labels> {
  readonly context: TouchContext<Labels>;
  readonly fit: Readonly<({ by: 'sweep' } & SweepFit) | ({ by: 'taps' } & TapFit)>;
  /** Zero in counts at which the fit was made. */
  readonly zeroCounts: number;
}

export interface DetectorOutput<Labels> {
  onNull(found: FoundNull<Labels>): void;
  /**
   * Further taps improve their null: `found` stands in place of `before` from now on. A sweep's stays as it was found.
   */
  onImproved(before: FoundNull<Labels>, found: FoundNull<Labels>): void;
  onDeflections(context: TouchContext<Labels>, deflections: Deflection[]): void;
  /** A touch that would have shown more, but for the galvanometer or the rate of the samples. */
  onWasted(context: TouchContext<Labels>, wasted: Wasted): void;
  /** Zero or lag are better known: nulls found before may move a little. */
  onLearnt(): void;
}

/** A touch from which nothing could be learnt, though a null was crossed or a place was held. */
export interface Wasted {
  tS: number;
  why: 'grows-less' | 'too-few-samples';
  /** At which it was sampled, in 1/s. */
  rateHz: number;
}

/** A touch this long that gives too few samples was sampled too slowly (common practice, no source). */
const LONG_TOUCH_S = 0.25;

/** Taps further apart than this belong to different attempts (common practice, no source). */
const TAP_GROUP_S = 90;
/** Enough for any null; older ones are dropped (common practice, no source). */
const MOST_TAPS = 60;
/** Over which the driver current is averaged for the shape of the curve, in s (common practice, no source). */
const DRIVER_MEMORY_S = 0.25;
/** Time constants after which a full deflection has settled to within a count: e^-9 of 4,000 counts is half a count. */
const SETTLED_LAGS = 9;

const rateOf = (t: Float64Array): number => (t.length - 1) / (t[t.length - 1] - t[0]);

interface TapGroup<Labels> {
  context: TouchContext<Labels>;
  taps: Tap[];
  found: FoundNull<Labels> | null;
}

/**
 * Readings in, in order of their board time; touches and nulls out. One bench, one run; knows nothing of files, sockets or
 * clocks, and throws on nothing that a board can send: readings without a current or a place are passed over. Nulls are
 * told in cm of the metre scale and counts of the galvanometer. How it is done: docs/method.md.
 */
export class Detector<Labels> {
  readonly lag = new LagKnowledge();
  readonly zero: LiftedLevel;
  private knownZero: Zero;
  private readonly bench: Bench;
  private readonly stepCm: number;
  private readonly output: DetectorOutput<Labels>;
  private readonly contactSense: ContactSense;
  private readonly release = new ReleaseWatch();
  private touch: Touch | null = null;
  private context: TouchContext<Labels> | null = null;
  private group: TapGroup<Labels> | null = null;
  private brokenSinceS: number | null = null;
  private liftedSinceS = Number.NEGATIVE_INFINITY;
  private humHz: number | null = null;
  /** The longest that the lag may be by now, and what a full deflection needs to settle. */
  private longLagS = 0;
  private settleS: number;
  private lastS = Number.NEGATIVE_INFINITY;
  private driverMa: number | null = null;
  private driverAtS = Number.NaN;

  /** @param stepCm what one count of the position converter is worth, in cm */
  constructor(bench: Bench, stepCm: number, output: DetectorOutput<Labels>) {
    this.bench = bench;
    this.stepCm = stepCm;
    this.output = output;
    this.zero = new LiftedLevel(bench.galvanometer.zeroCounts);
    this.knownZero = this.zero.latest;
    this.contactSense = new ContactSense(bench.galvanometer.zeroCounts, () => this.humHz ?? this.zero.humHz);
    this.settleS = this.settlingTime();
  }

  /** @param context what holds from this reading on; the same object as before where nothing has changed */
  accept(reading: Reading, context: TouchContext<Labels>): void {
    if (context !== this.context) this.switched(context);
    this.followDriver(reading);
    this.contactSense.accept(reading, this.contacted);
    if (this.zero.latest === this.knownZero) return;
    this.knownZero = this.zero.latest;
    this.output.onLearnt();
  }

  private readonly contacted = ({ reading, contact }: Contacted): void => {
    if (contact) this.touching(reading);
    else this.lifted(reading);
  };

  /** Ends what is under way, and tells of it, as at the end of a recording or when the bench changes. */
  close(): void {
    this.contactSense.drain(this.contacted);
    this.endTouch();
    this.group = null;
  }

  private switched(context: TouchContext<Labels>): void {
    // What was held back belongs to what held before.
    if (this.context !== null) this.contactSense.drain(this.contacted);
    this.endTouch();
    this.release.cancel();
    this.group = null;
    this.context = context;
    this.settleS = this.settlingTime();
  }

  /** Roughly, for the shape of the curve only. */
  private followDriver({ tS, driverMa }: Reading): void {
    if (driverMa === null) return;
    const gapS = tS - this.driverAtS;
    const share = gapS >= 0 ? gapS / (gapS + DRIVER_MEMORY_S) : 1;
    this.driverMa = this.driverMa === null ? driverMa : this.driverMa + share * (driverMa - this.driverMa);
    this.driverAtS = tS;
  }

  private settlingTime(): number {
    const { lagS, uS } = this.lag.estimate();
    this.longLagS = lagS + uS;
    return BOUNCE_S + SETTLED_LAGS * this.longLagS;
  }

  private touching(reading: Reading): void {
    const { tS, scaleCm, galCounts } = reading;
    if (galCounts === null || scaleCm === null) return;
    if (this.touch !== null && (tS - this.lastS > GAP_S || tS < this.lastS)) {
      if (!reading.afterGap) this.waste('too-few-samples', tS, 1 / (tS - this.lastS));
      this.endTouch();
    }
    if (this.touch === null) {
      this.touch = new Touch(new Settling(tS, this.longLagS), this.zero.latest.counts);
      this.zero.interrupt();
    } else if (this.brokenSinceS !== null) {
      this.touch.flicker(tS);
    }
    this.brokenSinceS = null;
    this.lastS = tS;
    this.release.cancel();
    const pass = this.touch.add(tS, scaleCm, galCounts, reading.galSaturated);
    if (pass !== null) this.endPass(pass);
  }

  private lifted(reading: Reading): void {
    const { tS, galCounts } = reading;
    if (galCounts === null) return;
    if (this.touch !== null) {
      if (this.brokenSinceS === null) {
        this.brokenSinceS = tS;
        this.release.begin(this.lastS, this.touch.lastCounts - this.zero.latest.counts);
      }
      if (tS - this.lastS > BOUNCE_S) this.endTouch();
    }
    if (this.touch === null && reading.afterGap) this.zero.interrupt();
    this.watchRelease(reading, tS, galCounts);
    if (this.touch !== null || tS - this.liftedSinceS < this.settleS || reading.galSaturated !== 0) return;
    this.zero.accept(tS, galCounts);
  }

  /** How the galvanometer falls back tells the lag, where the board itself senses contact. */
  private watchRelease(reading: Reading, tS: number, galCounts: number): void {
    if (reading.contact === null) return;
    const off = galCounts - this.zero.latest.counts;
    const seen = this.release.accept(tS, off, this.zero.sampleSigma, reading.galSaturated !== 0);
    if (seen === null) return;
    this.lag.addRelease(seen);
    this.settleS = this.settlingTime();
    this.output.onLearnt();
  }

  private endTouch(): void {
    const { touch, context } = this;
    if (touch === null || context === null) return;
    this.touch = null;
    this.brokenSinceS = null;
    this.liftedSinceS = this.lastS;
    const tap = touch.asTap();
    const pass = touch.finish();
    const foundInPass = pass !== null && this.endPass(pass, tap !== null);
    if (tap !== null && !foundInPass) this.endTap(tap, context);
    if (tap === null || tap.t.length >= LEAST_PLATEAU || touch.lastedS < LONG_TOUCH_S) return;
    this.waste('too-few-samples', this.lastS, (touch.samples - 1) / touch.lastedS);
  }

  /** Answers whether the pass held a null. */
  private endPass(pass: Pass, mayBeTap = false): boolean {
    const context = this.context as TouchContext<Labels>;
    const zero = this.zero.latest;
    if (!mayBeTap) this.output.onDeflections(context, alongPass(pass, zero.counts));
    if (!pass.signsDiffer) return false;
    const { lagS } = this.lag.estimate();
    const fit = fitSweep(pass, {
      zeroCounts: zero.counts,
      lagS,
      shape: this.shape(context),
      known: { noiseMemory: this.zero.noiseMemory, stepCm: this.stepCm },
    });
    if (fit === 'grows-less' || fit === 'too-few-samples')
      this.waste(fit, pass.t[pass.start], rateOf(pass.t));
    if (typeof fit === 'string') return false;
    if (fit.hum !== null) this.humHz = fit.hum.hz;
    this.lag.addPass(fit.lag);
    this.output.onNull({ context, fit: { by: 'sweep', ...fit }, zeroCounts: zero.counts });
    return true;
  }

  private waste(why: Wasted['why'], tS: number, rateHz: number): void {
    if (this.context !== null) this.output.onWasted(this.context, { tS, why, rateHz });
  }

  private endTap(held: Parameters<typeof plateau>[0], context: TouchContext<Labels>): void {
    const tap = plateau(held, {
      stepCm: this.stepCm,
      sampleSigma: this.zero.sampleSigma,
      humHz: this.humHz ?? this.zero.humHz,
    });
    if (tap === null) return;
    const zero = this.zero.latest;
    this.output.onDeflections(context, [deflectionOf(tap, zero.counts)]);
    this.join(tap, context);
    this.refit(zero.counts);
  }

  private shape({ protect, row }: TouchContext<Labels>): Shape {
    return shapeOf(this.bench, { protect, row, driverMa: this.driverMa });
  }

  private join(tap: Tap, context: TouchContext<Labels>): void {
    const last = this.group?.taps[this.group.taps.length - 1];
    if (this.group === null || last === undefined || tap.tS - last.tS > TAP_GROUP_S) {
      this.group = { context, taps: [], found: null };
    }
    this.group.taps.push(tap);
    if (this.group.taps.length > MOST_TAPS) this.group.taps.shift();
  }

  private refit(zeroCounts: number): void {
    const group = this.group as TapGroup<Labels>;
    const fit = fitTaps(group.taps, zeroCounts, this.shape(group.context));
    if (typeof fit === 'string') return;
    const before = group.found;
    group.found = { context: group.context, fit: { by: 'taps', ...fit }, zeroCounts };
    if (before === null) this.output.onNull(group.found);
    else this.output.onImproved(before, group.found);
  }
}
