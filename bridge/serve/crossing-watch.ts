import type { LiveReading } from '../run/view.ts';

/** The galvanometer has passed its null: seen at once, long before a balancing length can be fitted. */
export interface CrossingView {
  /** Counts the crossings of a run, from 1. */
  number: number;
  /** Board time of the reading that crossed, in seconds. */
  atS: number;
  /** The jockey slid across, or was tapped on either side: then the null lies somewhere between the two. */
  by: 'sweep' | 'taps';
  cell: number | null;
  /** With the protective resistance out. */
  fine: boolean;
  /** Lengths of the last reading of one side and of the first of the other, the lesser first; null where unknown. */
  betweenCm: [number, number] | null;
  /** About where it was crossed, in the straight line from the one to the other: by a sweep alone, inside the span. */
  lengthCm: number | null;
}

/** A deflection counts from so many standard deviations of the lifted jockey's readings on, and from so many steps of the converter. */
const SIGMAS = 6;
const STEPS = 2;
/** Differences from which noise is known; before, nothing counts as a deflection. */
const LEAST_DIFFERENCES = 30;
/** Share of the newest difference in the running mean, and what a mean difference of two readings is in standard deviations (normal). */
const NEWEST = 0.02;
const DIFFERENCE_PER_SIGMA = 1.128;
/** Larger than so many mean ones a difference is no noise: the galvanometer falls back to zero after a touch. If it goes on, it is. */
const MOST_OF_MEAN = 4;
const GOES_ON = 60;
/** Readings of both sides that lie further apart have not found a null: both ends of the wire are tried before every run. */
const MOST_APART_CM = 30;
/** Without a contact sense, readings that are further apart in time may be of two touches. */
const LONGEST_OF_ONE_TOUCH_S = 0.25;
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
  /** Differences in a row that are too large for noise. */
  #large = 0;
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
    if (contact === true && !this.#touching) this.#touch += 1;
    this.#touching = contact === true;
    if (contact === false || currentUa === null) return null;
    if (!saturated && Math.abs(currentUa) <= this.#leastUa()) return null;
    const before = this.#strong;
    this.#strong = { side: Math.sign(currentUa), touch: this.#touch, reading };
    if (before === null || !this.#crosses(before, this.#strong)) return null;
    this.#lastS = reading.atS;
    this.#number += 1;
    const by = isOneTouch(before, this.#strong) ? 'sweep' : 'taps';
    return {
      number: this.#number,
      atS: reading.atS,
      by,
      cell: reading.cell,
      fine: !reading.protect,
      betweenCm: between(before.reading, reading),
      lengthCm: by === 'sweep' ? crossedAt(before.reading, reading) : null,
    };
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
    this.#large = difference > MOST_OF_MEAN * this.#meanDifferenceUa ? this.#large + 1 : 0;
    if (weight === NEWEST && this.#large > 0 && this.#large < GOES_ON) return;
    this.#meanDifferenceUa += weight * (difference - this.#meanDifferenceUa);
  }

  #crosses(before: Strong, now: Strong): boolean {
    const [from, to] = [before.reading, now.reading];
    return (
      before.side !== now.side &&
      from.cell === to.cell &&
      to.atS - this.#lastS > LEAST_BETWEEN_S &&
      near(before, now) &&
      driverHeld(from, to)
    );
  }
}

/** The contact held from the one to the other, or they follow upon one another too closely for a second touch. */
function isOneTouch(before: Strong, now: Strong): boolean {
  if (before.touch !== now.touch) return false;
  const isSensed = before.reading.contact === true && now.reading.contact === true;
  return isSensed || now.reading.atS - before.reading.atS <= LONGEST_OF_ONE_TOUCH_S;
}

/** Where no place is known, only a contact that held tells a null from the two ends. */
function near(before: Strong, now: Strong): boolean {
  const span = between(before.reading, now.reading);
  return span === null ? isOneTouch(before, now) : span[1] - span[0] <= MOST_APART_CM;
}

const between = (from: LiveReading, to: LiveReading): [number, number] | null =>
  from.lengthCm === null || to.lengthCm === null
    ? null
    : [Math.min(from.lengthCm, to.lengthCm), Math.max(from.lengthCm, to.lengthCm)];

const driverHeld = ({ driverMa: from }: LiveReading, { driverMa: to }: LiveReading): boolean =>
  from === null || to === null || Math.abs(to - from) <= MOST_DRIVER_CHANGE * Math.abs(from);

/** Beyond the span a current is not known, only its side. */
function crossedAt(from: LiveReading, to: LiveReading): number | null {
  const [fromUa, toUa] = [from.currentUa ?? 0, to.currentUa ?? 0];
  if (from.saturated || to.saturated || from.lengthCm === null || to.lengthCm === null) return null;
  return from.lengthCm + (fromUa / (fromUa - toUa)) * (to.lengthCm - from.lengthCm);
}
