import type { LiveReading } from '../run/view.ts';

/** The galvanometer has passed its null: seen at once, long before a balancing length can be fitted. */
export interface CrossingView {
  /** Counts the crossings of a run, from 1. */
  number: number;
  /** Board time of the reading that crossed, in seconds. */
  atS: number;
  /** The jockey slid across, or was tapped on either side. */
  by: 'sweep' | 'taps';
  cell: number | null;
  /** With the protective resistance out. */
  fine: boolean;
  /** About where, between the last reading of one side and the first of the other; null where the place is not known. */
  lengthCm: number | null;
  scaleCm: number | null;
}

/** A deflection counts from so many standard deviations of the lifted jockey's readings on, and from so many steps of the converter. */
const SIGMAS = 6;
const STEPS = 2;
/** Differences from which noise is known; before, nothing counts as a deflection. */
const LEAST_DIFFERENCES = 30;
/** Share of the newest difference in the running mean, and what a mean difference of two readings is in standard deviations (normal). */
const NEWEST = 0.02;
const DIFFERENCE_PER_SIGMA = 1.128;
/** Taps on both sides further apart have not found a null but its neighbourhood. */
const MOST_BETWEEN_TAPS_CM = 30;
/** A driver current that moved by more did it, and not the jockey. */
const MOST_DRIVER_CHANGE = 0.02;
/** Hum may cross many times a second; nobody else does. */
const LEAST_BETWEEN_S = 0.35;

interface Strong {
  side: number;
  touch: number;
  reading: LiveReading;
}

/** Watches the readings of one run for its crossings. */
export class CrossingWatch {
  #previousUa: number | null = null;
  #differences = 0;
  #meanDifferenceUa = 0;
  #stepUa = Number.POSITIVE_INFINITY;
  #touching = false;
  #touch = 0;
  #strong: Strong | null = null;
  #number = 0;
  #lastS = Number.NEGATIVE_INFINITY;

  /** Null where this reading crossed nothing. */
  add(reading: LiveReading): CrossingView | null {
    const { currentUa, contact, saturated } = reading;
    if (contact !== true) this.#learnNoise(currentUa);
    if (contact !== false && !this.#touching) this.#touch += 1;
    this.#touching = contact !== false;
    if (!this.#touching || currentUa === null) return null;
    if (!saturated && Math.abs(currentUa) <= this.#leastUa()) return null;
    const before = this.#strong;
    this.#strong = { side: Math.sign(currentUa), touch: this.#touch, reading };
    if (before === null || !this.#crosses(before, this.#strong)) return null;
    this.#lastS = reading.atS;
    this.#number += 1;
    const by = before.touch === this.#touch ? 'sweep' : 'taps';
    return { number: this.#number, by, ...placeBetween(before.reading, reading) };
  }

  #leastUa(): number {
    if (this.#differences < LEAST_DIFFERENCES) return Number.POSITIVE_INFINITY;
    const sigmaUa = this.#meanDifferenceUa / DIFFERENCE_PER_SIGMA;
    return Math.max(SIGMAS * sigmaUa, Number.isFinite(this.#stepUa) ? STEPS * this.#stepUa : 0);
  }

  /** From readings in which nothing but noise moves. Without a contact sense all of them may be such. */
  #learnNoise(currentUa: number | null): void {
    if (currentUa === null) return;
    const difference = this.#previousUa === null ? 0 : Math.abs(currentUa - this.#previousUa);
    this.#previousUa = currentUa;
    this.#differences += 1;
    if (difference > 0) this.#stepUa = Math.min(this.#stepUa, difference);
    // A plain mean at first, so that it does not begin at nought.
    const weight = Math.max(NEWEST, 1 / this.#differences);
    this.#meanDifferenceUa += weight * (difference - this.#meanDifferenceUa);
  }

  #crosses(before: Strong, now: Strong): boolean {
    const [from, to] = [before.reading, now.reading];
    return (
      before.side !== now.side &&
      from.cell === to.cell &&
      to.atS - this.#lastS > LEAST_BETWEEN_S &&
      (before.touch === now.touch || apartCm(from, to) <= MOST_BETWEEN_TAPS_CM) &&
      driverHeld(from, to)
    );
  }
}

/** Nought where a place is not known. */
const apartCm = (from: LiveReading, to: LiveReading): number =>
  from.lengthCm === null || to.lengthCm === null ? 0 : Math.abs(to.lengthCm - from.lengthCm);

const driverHeld = ({ driverMa: from }: LiveReading, { driverMa: to }: LiveReading): boolean =>
  from === null || to === null || Math.abs(to - from) <= MOST_DRIVER_CHANGE * Math.abs(from);

function placeBetween(from: LiveReading, to: LiveReading): Omit<CrossingView, 'number' | 'by'> {
  const [fromUa, toUa] = [from.currentUa ?? 0, to.currentUa ?? 0];
  // Beyond the span the current is not known, only its side.
  const share = from.saturated || to.saturated ? 0.5 : fromUa / (fromUa - toUa);
  const between = (one: number | null, other: number | null) =>
    one === null || other === null ? null : one + share * (other - one);
  return {
    atS: to.atS,
    cell: to.cell,
    fine: !to.protect,
    lengthCm: between(from.lengthCm, to.lengthCm),
    scaleCm: between(from.scaleCm, to.scaleCm),
  };
}
