import type { EventLog } from './event-log.ts';

/**
 * Which `bench` events a fold leaves out. They change how every later sample reads, so they must be known at its
 * start; where an `undo` proves them wrong, the fold has to begin anew.
 */
export class BenchUndoing {
  private readonly leftOut: ReadonlySet<number>;
  private readonly onceUndone = new Set<number>();
  /** An `undo` since has taken back a bench that was used, or brought back one that was left out. */
  provedWrong = false;

  /** @param leftOut numbers of the `bench` events that the recording takes back; see `UndoneBenches` */
  constructor(leftOut: ReadonlySet<number>) {
    this.leftOut = leftOut;
  }

  leavesOut(number: number): boolean {
    return this.leftOut.has(number);
  }

  /** To be called after every `undo`. */
  check(log: EventLog): void {
    for (const { number } of log.ofKind('bench')) {
      const undone = log.isUndone(number);
      if (undone) this.onceUndone.add(number);
      if (undone !== this.leftOut.has(number) && this.onceUndone.has(number)) this.provedWrong = true;
    }
  }
}
