import type { Reading } from '../bench/reading.ts';

/**
 * Does the jockey touch? A board that senses contact says so. Of one that does not, the current tells: a
 * lifted jockey leaves the galvanometer at its zero, so what lies clear of zero is contact, and a short stay
 * near zero between currents of both signs is taken as the crossing of a null.
 */

export interface Contacted {
  reading: Reading;
  contact: boolean;
}

/** Samples a window of the search for the resting level. */
const WINDOW = 16;
/** Longest stay near zero that is still taken for a crossing. */
const BRIDGE_S = 0.8;
const MOST_LEVELS = 24;

export class ContactSense {
  private readonly rest: RestingLevel;
  private held: Reading[] = [];
  private lastSide = 0;
  private lastOffS = Number.NEGATIVE_INFINITY;

  constructor(nominalZero: number) {
    this.rest = new RestingLevel(nominalZero);
  }

  /** Passes readings on with the word on contact, those near zero a little later than they came. */
  accept(reading: Reading, emit: (contacted: Contacted) => void): void {
    if (reading.contact !== null) {
      this.flush(false, emit);
      emit({ reading, contact: reading.contact });
      return;
    }
    if (reading.galCounts === null) {
      emit({ reading, contact: false });
      return;
    }
    this.rest.accept(reading.galCounts);
    const side = this.rest.sideOf(reading.galCounts, reading.galSaturated);
    if (side === 0) this.nearZero(reading, emit);
    else this.offZero(reading, side, emit);
  }

  private offZero(reading: Reading, side: number, emit: (contacted: Contacted) => void): void {
    const crossing = side === -this.lastSide && reading.tS - this.lastOffS < BRIDGE_S && !reading.afterGap;
    const flicker = side === this.lastSide && reading.tS - this.lastOffS < 0.03;
    this.flush(crossing || flicker, emit);
    emit({ reading, contact: true });
    this.lastSide = side;
    this.lastOffS = reading.tS;
  }

  private nearZero(reading: Reading, emit: (contacted: Contacted) => void): void {
    if (reading.tS - this.lastOffS < BRIDGE_S && !reading.afterGap) {
      this.held.push(reading);
      return;
    }
    this.flush(false, emit);
    emit({ reading, contact: false });
  }

  private flush(contact: boolean, emit: (contacted: Contacted) => void): void {
    const held = this.held;
    if (held.length === 0) return;
    this.held = [];
    for (const reading of held) emit({ reading, contact });
  }
}

interface RestLevel {
  mean: number;
  windows: number;
}

/**
 * The level at which the galvanometer rests most of the time: windows in which it is quiet are gathered by
 * their means; the most visited level near the nominal zero wins.
 */
class RestingLevel {
  private readonly nominal: number;
  private readonly levels: RestLevel[] = [];
  private window: number[] = [];
  private quietSigma = 3;
  private seen = 0;

  constructor(nominal: number) {
    this.nominal = nominal;
  }

  accept(counts: number): void {
    this.window.push(counts);
    if (this.window.length < WINDOW) return;
    const mean = this.window.reduce((sum, value) => sum + value, 0) / WINDOW;
    const sigma = Math.sqrt(this.window.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (WINDOW - 1));
    this.window = [];
    // The noise floor follows the quietest windows down at once and louder ones up only slowly.
    this.seen += 1;
    if (sigma < this.quietSigma || this.seen === 1) this.quietSigma = Math.max(0.3, sigma);
    else this.quietSigma *= 1.01;
    if (sigma < 2 * this.quietSigma + 0.5) this.visit(mean);
  }

  /** +1 or -1 where a count lies clear of the resting level, 0 where it does not. */
  sideOf(counts: number, saturated: -1 | 0 | 1): -1 | 0 | 1 {
    if (saturated !== 0) return saturated;
    const off = counts - this.level();
    const clear = Math.max(4, 6 * this.quietSigma);
    if (off > clear) return 1;
    return off < -clear ? -1 : 0;
  }

  private level(): number {
    let best: RestLevel | null = null;
    for (const level of this.levels) if (best === null || level.windows > best.windows) best = level;
    return best !== null && best.windows >= 3 ? best.mean : this.nominal;
  }

  private visit(mean: number): void {
    const reach = Math.max(2, 3 * this.quietSigma);
    // A zero lies near where the bench file says; plateaux of taps lie anywhere.
    if (Math.abs(mean - this.nominal) > 200) return;
    const known = this.levels.find((level) => Math.abs(level.mean - mean) < reach);
    if (known !== undefined) {
      known.windows += 1;
      known.mean += (mean - known.mean) / Math.min(200, known.windows);
      return;
    }
    if (this.levels.length >= MOST_LEVELS) {
      this.levels.sort((a, b) => b.windows - a.windows);
      this.levels.pop();
    }
    this.levels.push({ mean, windows: 1 });
  }
}
