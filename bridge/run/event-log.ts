import type { RunEvent, RunEventOf } from './events.ts';
import { readEvent } from './events.ts';

/** The `!` lines of a run, counted from 1, and which of them have been taken back. */

export interface LoggedEvent {
  /** What `undo` names. */
  number: number;
  ms: number;
  /** Seconds of board time when it was said; null before the first sample. */
  atS: number | null;
  /** Null where the line could not be understood. */
  event: RunEvent | null;
}

export class EventLog {
  readonly entries: LoggedEvent[] = [];
  private readonly undone = new Set<number>();

  /** Adds the next `!` line. Its number counts whether or not it can be understood. */
  add(json: string, ms: number, atS: number | null): LoggedEvent {
    const event = readEvent(json);
    const entry = { number: this.entries.length + 1, ms, atS, event };
    this.entries.push(entry);
    if (event?.kind === 'undo') this.recountUndone();
    return entry;
  }

  get count(): number {
    return this.entries.length;
  }

  /** How many could not be understood and have not been taken back. */
  get unreadable(): number {
    return this.entries.filter(({ event, number }) => event === null && !this.undone.has(number)).length;
  }

  isUndone(number: number): boolean {
    return this.undone.has(number);
  }

  /** Events of one kind that stand, in order. */
  standing<Kind extends RunEvent['kind']>(kind: Kind): { entry: LoggedEvent; event: RunEventOf<Kind> }[] {
    const found: { entry: LoggedEvent; event: RunEventOf<Kind> }[] = [];
    for (const entry of this.entries) {
      if (entry.event?.kind !== kind || this.undone.has(entry.number)) continue;
      found.push({ entry, event: entry.event as RunEventOf<Kind> });
    }
    return found;
  }

  /** The last standing event of a kind among the first `upTo` lines. */
  last<Kind extends RunEvent['kind']>(kind: Kind, upTo: number = this.count): RunEventOf<Kind> | null {
    for (let index = Math.min(upTo, this.count) - 1; index >= 0; index -= 1) {
      const { event, number } = this.entries[index];
      if (event?.kind === kind && !this.undone.has(number)) return event as RunEventOf<Kind>;
    }
    return null;
  }

  /** An undo may itself be undone by a later one: later words are read first. */
  private recountUndone(): void {
    this.undone.clear();
    for (let index = this.entries.length - 1; index >= 0; index -= 1) {
      const { event, number } = this.entries[index];
      if (event?.kind === 'undo' && !this.undone.has(number) && event.event < number)
        this.undone.add(event.event);
    }
  }
}

/** Numbers of the `bench` events that a recording takes back; they change readings, so a fold must know them at its start. */
export class UndoneBenches {
  private readonly log = new EventLog();

  /** Takes the JSON text of the next `!` line. */
  add(json: string): void {
    this.log.add(json, 0, null);
  }

  get numbers(): ReadonlySet<number> {
    const benches = this.log.entries.filter((entry) => entry.event?.kind === 'bench');
    return new Set(benches.map((entry) => entry.number).filter((number) => this.log.isUndone(number)));
  }
}
