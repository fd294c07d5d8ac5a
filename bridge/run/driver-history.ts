import type { CurrentAt } from './driver-fit.ts';
import { openUpToMa } from './key-open.ts';

/** A time during which the driver current kept its level. */
export interface DriverStretch {
  fromS: number;
  /** As it began, in mA. */
  levelMa: number;
  /** Number of the set, from 1. */
  set: number;
  /** The current at a time, by its drift over the stretch. */
  at: (tS: number) => CurrentAt;
}

/** The driver current through a run as it counts for its lengths. Never changes: when more is known, another takes its place. */
export class DriverHistory {
  private readonly stretches: readonly DriverStretch[];
  private readonly loose: CurrentAt | null;
  private readonly stepMa: number;
  private readonly fullMa: number;

  /**
   * @param stretches in order of time
   * @param loose the current where it has never held still
   * @param stepMa what one count of the driver channel is worth, in mA
   * @param fullMa what would flow with the wire alone in the driver's circuit; 0 where that is not known
   */
  constructor(stretches: readonly DriverStretch[], loose: CurrentAt | null, stepMa: number, fullMa: number) {
    this.stretches = stretches;
    this.loose = loose;
    this.stepMa = stepMa;
    this.fullMa = fullMa;
  }

  /** Null where nothing was measured. */
  at(tS: number): CurrentAt | null {
    const stretch = this.stretchAt(tS);
    return stretch === undefined ? this.loose : stretch.at(tS);
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
