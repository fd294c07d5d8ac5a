import type { Reading } from '../bench/reading.ts';
import { MainsAverage } from './mains-average.ts';
import { RestingLevel } from './resting-level.ts';

/**
 * Does the jockey touch? A board that senses contact says so. Of one that does not, the current tells: a lifted
 * jockey leaves the galvanometer at its zero, so what lies clear of zero is contact. A stay near zero between
 * currents of both signs is the crossing of a null if the current went along with the place all the while; of a
 * jockey that was lifted and carried across it stays at zero instead.
 */

export interface Contacted {
  reading: Reading;
  contact: boolean;
}

/**
 * A stay near zero may still be a crossing for so long, and for so many times what the current would need at the
 * rate at which it came; never longer than the last.
 */
const SHORT_STAY_S = 0.3;
const UNHURRIED = 3;
const LONGEST_STAY_S = 3;
/** Over which that rate is seen. */
const ARRIVAL_S = 0.05;
/** Bounds memory: `LONGEST_STAY_S` at 2.5 kHz. */
const MOST_HELD = 8_000;
/**
 * A current back on its side within this was never away: chatter, and the mains periods averaged on either side of it.
 */
const FLICKER_S = 0.07;
/** No hand lifts, carries and sets down a jockey in less. */
const SHORTEST_CARRY_S = 0.06;
/** Hum is averaged out over one period of the mains; without a better word, of 50 Hz. */
const MAINS_HZ = 50;
/**
 * Share of a straight line's squares, from where zero was neared to where it was left, that may stay unexplained,
 * beside twice the noise's.
 */
const UNEXPLAINED = 0.3;
const NOISE_SHARE = 2;

/** A reading with the mean of the counts up to it over one period of the mains. */
interface Averaged {
  reading: Reading;
  /** From the resting level. */
  off: number;
  side: -1 | 0 | 1;
}

type Emit = (contacted: Contacted) => void;

export class ContactSense {
  private readonly rest: RestingLevel;
  private readonly humHz: () => number | null;
  private readonly average: MainsAverage = new MainsAverage();
  /** Averaged but not yet judged: the mean that begins with a reading is still to come. */
  private ahead: Averaged[] = [];
  private held: Averaged[] = [];
  private lastOff: Averaged | null = null;
  /** Counts a second at which the current came near zero; null until that is seen. */
  private arrivalPerS: number | null = null;

  constructor(nominalZero: number, humHz: () => number | null) {
    this.rest = new RestingLevel(nominalZero);
    this.humHz = humHz;
  }

  /** Passes readings on with the word on contact, those near zero a little later than they came. */
  accept(reading: Reading, emit: Emit): void {
    if (reading.contact !== null) {
      emit({ reading, contact: reading.contact });
      return;
    }
    if (reading.galCounts === null) {
      emit({ reading, contact: false });
      return;
    }
    if (this.average.isCut(reading.tS)) this.startAnew(emit);
    const mean = this.average.accept(reading, reading.galCounts, this.humHz() ?? MAINS_HZ);
    this.rest.accept(mean, this.average.width, reading.galSaturated !== 0);
    this.ahead.push({ reading, off: mean - this.rest.level, side: this.rest.sideOf(mean) });
    if (this.ahead.length < this.average.width) return;
    const judged = this.ahead.shift() as Averaged;
    const after = this.ahead[this.ahead.length - 1] ?? judged;
    // Clear of zero only where the means up to a reading and from it on both are: edges of contact belong to neither.
    this.judge(judged.side === after.side ? judged : { ...judged, side: 0 }, emit);
  }

  /** Nothing more comes for now: what is held back is passed on. */
  drain(emit: Emit): void {
    this.startAnew(emit);
  }

  private startAnew(emit: Emit): void {
    for (const left of this.ahead) this.judge(left, emit);
    this.ahead = [];
    this.average.clear();
    this.flush(false, emit);
    this.lastOff = null;
  }

  private judge(next: Averaged, emit: Emit): void {
    if (next.side === 0) this.nearZero(next, emit);
    else this.offZero(next, emit);
  }

  private offZero(next: Averaged, emit: Emit): void {
    this.flush(this.heldInContact(next), emit);
    emit({ reading: next.reading, contact: true });
    this.lastOff = next;
  }

  private nearZero(next: Averaged, emit: Emit): void {
    const { lastOff } = this;
    if (lastOff === null) {
      emit({ reading: next.reading, contact: false });
      return;
    }
    this.held.push(next);
    const awayS = next.reading.tS - lastOff.reading.tS;
    if (awayS >= ARRIVAL_S && this.arrivalPerS === null)
      this.arrivalPerS = Math.abs(lastOff.off - next.off) / awayS;
    if (awayS < this.longestStayS(lastOff) && this.held.length < MOST_HELD) return;
    this.flush(false, emit);
    this.lastOff = null;
  }

  /** A jockey that was lifted falls to zero at once; one that slides gets there, and across, in its own time. */
  private longestStayS(lastOff: Averaged): number {
    if (this.arrivalPerS === null) return LONGEST_STAY_S;
    const acrossS = (2 * Math.abs(lastOff.off)) / this.arrivalPerS;
    return Math.min(LONGEST_STAY_S, SHORT_STAY_S + UNHURRIED * acrossS);
  }

  private heldInContact(next: Averaged): boolean {
    const { lastOff, held } = this;
    if (lastOff === null || held.length === 0) return true;
    const awayS = next.reading.tS - lastOff.reading.tS;
    if (next.side === lastOff.side) return awayS < FLICKER_S;
    if (awayS < SHORTEST_CARRY_S) return true;
    // By place for a hand that hesitates, by time for one so slow that the sensor's noise hides its way.
    const sigma = this.rest.sampleSigma;
    return [byPlace, byTime].some((along) => followsLine(lastOff, held, next, { along, sigma }));
  }

  private flush(contact: boolean, emit: Emit): void {
    const held = this.held;
    this.arrivalPerS = null;
    if (held.length === 0) return;
    this.held = [];
    for (const { reading } of held) emit({ reading, contact });
  }
}

type Along = (reading: Reading) => number | null;
const byPlace: Along = (reading) => reading.scaleCm;
const byTime: Along = (reading) => reading.tS;

/** Whether the current between two readings went along the straight line between what it was there. */
function followsLine(
  from: Averaged,
  held: readonly Averaged[],
  to: Averaged,
  { along, sigma }: { along: Along; sigma: number },
): boolean {
  const start = along(from.reading);
  const end = along(to.reading);
  if (start === null || end === null || start === end) return false;
  let unexplained = 0;
  let line = 0;
  for (const { reading, off } of held) {
    const at = along(reading);
    if (at === null) return false;
    const expected = from.off + ((at - start) / (end - start)) * (to.off - from.off);
    unexplained += (off - expected) ** 2;
    line += expected ** 2;
  }
  return unexplained < UNEXPLAINED * line + NOISE_SHARE * held.length * sigma ** 2;
}
