import type { Uniform } from './noise.ts';
import { normalOf } from './noise.ts';

/** What makes a driver's EMF and a rheostat's contact change by themselves: drift, warming, a contact that settles, wander. */

export interface DriverChoice {
  /** Relative change of the driver's EMF in 1/s. */
  driftPerS?: number;
  /** After the rheostat is moved the current is off by this share, either way, and comes back with this time constant. */
  settling?: { relative: number; tauS: number }[];
  /** A random walk of the driver's EMF: relative, for one root of a second. */
  wanderPerRootS?: number;
}

export class DriverWander {
  private readonly choice: DriverChoice;
  private readonly normal: () => number;
  private readonly off: number[];
  private walked = 0;

  constructor(choice: DriverChoice, uniform: Uniform) {
    this.choice = choice;
    this.normal = normalOf(uniform);
    this.off = (choice.settling ?? []).map(() => 0);
  }

  /** The rheostat was moved: every settling begins anew, at a size of its own. */
  moved(): void {
    this.choice.settling?.forEach(({ relative }, index) => {
      this.off[index] = relative * (this.normal() < 0 ? -1 : 1);
    });
  }

  /** Time goes on. */
  pass(stepS: number): void {
    const { settling = [], wanderPerRootS = 0 } = this.choice;
    settling.forEach(({ tauS }, index) => {
      this.off[index] *= Math.exp(-stepS / tauS);
    });
    if (wanderPerRootS > 0) this.walked += wanderPerRootS * Math.sqrt(stepS) * this.normal();
  }

  /** Factor of the driver's EMF at a time. */
  at(tS: number): number {
    const settling = this.off.reduce((sum, off) => sum + off, 0);
    return 1 + (this.choice.driftPerS ?? 0) * tS + settling + this.walked;
  }
}
