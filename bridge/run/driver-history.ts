import { RecentlyUsed } from '../calc-core/recently-used.ts';
import type { DriverBlock } from './driver-blocks.ts';
import { DriverBlocks, stretchesOf } from './driver-blocks.ts';
import type { CurrentAt } from './driver-fit.ts';
import { currentsAt, DRIFT_UNKNOWN } from './driver-fit.ts';
import { openUpToMa } from './key-open.ts';

/** A time during which the driver current kept its level. */
export interface DriverStretch {
  fromS: number;
  /** As it began, in mA. */
  levelMa: number;
  /** Number of the set, from 1. */
  set: number;
}

/** How much of the readings counts. */
interface Measured {
  readings: DriverReadings;
  /** In s; what came later does not count. */
  untilS: number;
  /** Null where nothing was measured. */
  latestMa: number | null;
}

/** The driver current through a run as it counts for its lengths. Never changes: when more is known, another takes its place. */
export class DriverHistory {
  private readonly stretches: readonly DriverStretch[];
  private readonly measured: Measured;
  private readonly stepMa: number;
  private readonly fullMa: number;

  /**
   * @param stretches in order of time
   * @param stepMa what one count of the driver channel is worth, in mA
   * @param fullMa what would flow with the wire alone in the driver's circuit; 0 where that is not known
   */
  constructor(stretches: readonly DriverStretch[], measured: Measured, stepMa: number, fullMa: number) {
    this.stretches = stretches;
    this.measured = measured;
    this.stepMa = stepMa;
    this.fullMa = fullMa;
  }

  /**
   * Driver current at the nulls of one set, from readings of its own stretch and time; null where nothing was measured.
   * @param atS when they were found, in any order
   * @param partedS times at which another set was begun by word, in order
   */
  currents(atS: readonly number[], partedS: readonly number[] = []): CurrentAt[] | null {
    const { readings, untilS, latestMa } = this.measured;
    return latestMa === null ? null : readings.currents(atS, partedS, untilS, latestMa);
  }

  /** Number of the set by the driver current alone at a time. */
  setAt(tS: number): number {
    return this.stretchAt(tS)?.set ?? 1;
  }

  /** Current in mA up to which there was none at a time. */
  openUpToMaAt(tS: number): number {
    return openUpToMa(this.stepMa, this.stretchAt(tS)?.levelMa ?? null, this.fullMa);
  }

  /** Times at which the current changed to a new level. */
  get changesS(): number[] {
    return this.stretches.slice(1).map((stretch) => stretch.fromS);
  }

  private stretchAt(tS: number): DriverStretch | undefined {
    return this.stretches.findLast(({ fromS }) => fromS <= tS);
  }
}

/** Readings that count for a moment lie within this time of it, or of another moment of its set (common practice, no source). */
const REACH_S = 60;
/** Answers that are kept: those of more sets than a run has. */
const MOST_KNOWN = 300;

/** All readings of the driver current, and what they say of some moments. */
export class DriverReadings {
  readonly blocks = new DriverBlocks();
  private readonly stepMa: number;
  /** Answers given before: a view asks for those of every set again. */
  private readonly known = new RecentlyUsed<CurrentAt[]>(MOST_KNOWN);

  constructor(stepMa: number) {
    this.stepMa = stepMa;
  }

  /** @param looseMa of a moment near which nothing was read */
  currents(atS: readonly number[], partedS: readonly number[], untilS: number, looseMa: number): CurrentAt[] {
    const from = Math.min(...atS) - REACH_S;
    const to = Math.min(Math.max(...atS) + REACH_S, untilS);
    const blocks = this.blocks.between(from, to);
    if (blocks.length === 0) return currentsIn([], atS, this.stepMa, looseMa);
    const parted = partedS.filter((tS) => tS > blocks[0].tS && tS <= to);
    // What is measured or said later, or about other sets, is no part of it: their answers stand.
    const key = [from, to, ...atS, 'parted', ...parted].join();
    return this.known.get(key, () =>
      currentsIn(stretchesOf(blocks, this.stepMa, parted), atS, this.stepMa, looseMa),
    );
  }
}

/** Moments of one stretch are told together; of several, each by its own, and nothing is known of the drift between them. */
function currentsIn(
  stretches: readonly DriverBlock[][],
  atS: readonly number[],
  stepMa: number,
  looseMa: number,
): CurrentAt[] {
  const currents: CurrentAt[] = atS.map(() => ({ mA: looseMa, uDriftPerS: DRIFT_UNKNOWN, uAlone: 0 }));
  const nearest = atS.map((tS) => nearestTo(stretches, tS));
  const inUse = stretches.filter((stretch) => nearest.includes(stretch));
  for (const stretch of inUse) {
    const own = [...atS.keys()].filter((index) => nearest[index] === stretch);
    const found = currentsAt(
      stretch,
      own.map((index) => atS[index]),
      stepMa,
    );
    own.forEach((index, at) => {
      currents[index] = inUse.length === 1 ? found[at] : { ...found[at], ...unlike(found[at], stepMa) };
    });
  }
  return currents;
}

/** Between stretches nothing is known of a drift, and each has a rounding of its own. */
const unlike = ({ mA }: CurrentAt, stepMa: number) => ({
  uDriftPerS: DRIFT_UNKNOWN,
  uAlone: Math.abs(stepMa / mA) / Math.sqrt(12),
});

/** The stretch that holds a moment, or comes nearest to it. */
function nearestTo(stretches: readonly DriverBlock[][], tS: number): DriverBlock[] | undefined {
  const away = (stretch: DriverBlock[]) =>
    Math.max(0, stretch[0].tS - tS, tS - stretch[stretch.length - 1].tS);
  return stretches.reduce<DriverBlock[] | undefined>(
    (best, next) => (best === undefined || away(next) < away(best) ? next : best),
    undefined,
  );
}
