import type { Pass } from './pass.ts';
import type { Settling } from './settling.ts';
import type { Held } from './tap.ts';

/** The samples of one touch of the jockey, split into passes where it turns back. Bounded in memory. */

/** Turning back by less than this is tremor, not a new pass (common practice, no source). */
const TURN_CM = 0.4;
/** A touch that stays within this is a tap (common practice, no source). */
export const TAP_REACH_CM = 1;
/**
 * Samples kept before a pass, so that a lagging current can be followed from a settled start: six of the longest lags.
 */
const LEAD_S = 0.6;
/** A pass longer than this is cut: 40 s at 1 kHz. */
const MOST_SAMPLES = 40_000;
/** Held still for longer, only the newest half is kept. */
const MOST_AT_REST = 8_000;
/** Samples left out before contact is lost: the last ones may have been taken while it broke. */
const TRIM = 2;

export class Touch {
  private t: number[] = [];
  private x: number[] = [];
  private y: number[] = [];
  private saturated: number[] = [];
  private settled: boolean[] = [];
  private passStart = 0;
  private low = 0;
  private high = 0;
  private direction = 0;
  private extreme = 0;
  private extremePlace = 0;
  private reachLow = Number.POSITIVE_INFINITY;
  private reachHigh = Number.NEGATIVE_INFINITY;
  private turns = 0;
  private readonly settling: Settling;
  private readonly zeroCounts: number;

  constructor(settling: Settling, zeroCounts: number) {
    this.settling = settling;
    this.zeroCounts = zeroCounts;
  }

  get samples(): number {
    return this.t.length;
  }

  get lastS(): number {
    return this.t.length === 0 ? Number.NEGATIVE_INFINITY : this.t[this.t.length - 1];
  }

  get lastedS(): number {
    return this.t.length === 0 ? 0 : this.lastS - this.t[0];
  }

  get lastCounts(): number {
    return this.y[this.y.length - 1];
  }

  get reachCm(): number {
    return this.reachHigh - this.reachLow;
  }

  /** Contact flickered: what follows has to settle again. */
  flicker(atS: number): void {
    this.settling.flicker(atS, atS - this.lastS);
  }

  /** Adds a sample; answers a finished pass when the jockey has turned back. */
  add(tS: number, xCm: number, counts: number, saturated: -1 | 0 | 1): Pass | null {
    this.t.push(tS);
    this.x.push(xCm);
    this.y.push(counts);
    this.saturated.push(saturated);
    this.settled.push(this.settling.isOver(tS, counts - this.zeroCounts));
    const place = this.middleOfThree();
    this.reachLow = Math.min(this.reachLow, place);
    this.reachHigh = Math.max(this.reachHigh, place);
    if (this.direction === 0) return this.atRest(place);
    const pass = this.onTheMove(place);
    if (pass !== null) return pass;
    return this.t.length - this.passStart > MOST_SAMPLES ? this.cut(this.t.length - 1) : null;
  }

  /** The last pass of a touch that has ended; null where the jockey hardly moved. */
  finish(): Pass | null {
    return this.direction === 0 && this.reachCm < TURN_CM
      ? null
      : this.pass(this.passStart, this.t.length - TRIM);
  }

  /** The whole touch as a tap; null where the jockey slid along the wire. */
  asTap(): Held | null {
    if (this.turns > 0 || this.reachCm > TAP_REACH_CM) return null;
    const kept: number[] = [];
    for (let index = 0; index < this.t.length - TRIM; index += 1) if (this.settled[index]) kept.push(index);
    return {
      t: Float64Array.from(kept, (index) => this.t[index]),
      x: Float64Array.from(kept, (index) => this.x[index]),
      y: Float64Array.from(kept, (index) => this.y[index]),
      saturated: Int8Array.from(kept, (index) => this.saturated[index]),
    };
  }

  /** Median of the last three positions: one stray position is no turn. */
  private middleOfThree(): number {
    const n = this.x.length;
    if (n < 3) return this.x[n - 1];
    const a = this.x[n - 3];
    const b = this.x[n - 2];
    const c = this.x[n - 1];
    return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
  }

  private atRest(place: number): null {
    const last = this.t.length - 1;
    if (last === this.passStart || place < this.low) this.low = place;
    if (last === this.passStart || place > this.high) this.high = place;
    if (this.high - this.low > TURN_CM) {
      this.direction = place === this.high ? 1 : -1;
      this.extreme = last;
      this.extremePlace = place;
    } else if (this.t.length > MOST_AT_REST) {
      this.drop(MOST_AT_REST / 2);
    }
    return null;
  }

  private onTheMove(place: number): Pass | null {
    const last = this.t.length - 1;
    const onward = (place - this.extremePlace) * this.direction;
    if (onward >= 0) {
      this.extreme = last;
      this.extremePlace = place;
      return null;
    }
    return onward < -TURN_CM ? this.cut(this.extreme) : null;
  }

  /** Ends the pass at `end`, where the next one begins the other way. */
  private cut(end: number): Pass | null {
    const pass = this.pass(this.passStart, end + 1);
    const turned = end < this.t.length - 1;
    this.turns += 1;
    this.passStart = end;
    if (turned) this.direction = -this.direction;
    this.extreme = this.t.length - 1;
    this.extremePlace = this.middleOfThree();
    let keepFrom = end;
    while (keepFrom > 0 && this.t[end] - this.t[keepFrom] < LEAD_S) keepFrom -= 1;
    this.drop(keepFrom);
    return pass;
  }

  private drop(count: number): void {
    for (const column of [this.t, this.x, this.y, this.saturated]) column.splice(0, count);
    this.settled.splice(0, count);
    this.passStart = Math.max(0, this.passStart - count);
    this.extreme = Math.max(0, this.extreme - count);
  }

  private pass(from: number, to: number): Pass | null {
    const fitted: number[] = [];
    let sides = 0;
    let lastSaturated = 0;
    let keptBefore = 0;
    for (let index = from; index < to; index += 1) {
      const saturated = this.saturated[index];
      if (saturated !== 0) {
        // From the end of the span and back to it: contact was lost for a moment, and no null was crossed.
        if (saturated === lastSaturated) fitted.length = keptBefore;
        lastSaturated = saturated;
        keptBefore = fitted.length;
      }
      if (!this.settled[index]) continue;
      sides |= this.sideOf(index);
      if (saturated === 0) fitted.push(index);
    }
    const end = Math.max(0, to);
    return {
      t: new Float64Array(this.t.slice(0, end)),
      x: new Float64Array(this.x.slice(0, end)),
      y: new Float64Array(this.y.slice(0, end)),
      saturated: new Int8Array(this.saturated.slice(0, end)),
      start: from,
      fitted: new Int32Array(fitted),
      signsDiffer: sides === 3,
    };
  }

  /** 1 for current above zero, 2 for below: or-ed together, 3 says that both were seen. */
  private sideOf(index: number): number {
    if (this.saturated[index] !== 0) return this.saturated[index] > 0 ? 1 : 2;
    return this.y[index] > this.zeroCounts ? 1 : 2;
  }
}
