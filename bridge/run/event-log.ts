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
  private readonly byKind = new Map<RunEvent['kind'], LoggedEvent[]>();
  /** How many standing undos name an event; none where it is absent. */
  private readonly undos = new Map<number, number>();

  /** Adds the next `!` line. Its number counts whether or not it can be understood. */
  add(json: string, ms: number, atS: number | null): LoggedEvent {
    const event = readEvent(json);
    const entry = { number: this.entries.length + 1, ms, atS, event };
    this.entries.push(entry);
    if (event === null) return entry;
    const same = this.byKind.get(event.kind);
    if (same === undefined) this.byKind.set(event.kind, [entry]);
    else same.push(entry);
    if (event.kind === 'undo') this.takeBack(entry.number, event.event);
    return entry;
  }

  get count(): number {
    return this.entries.length;
  }

  /** How many could not be understood and have not been taken back. */
  get unreadable(): number {
    return this.entries.filter(({ event, number }) => event === null && !this.isUndone(number)).length;
  }

  isUndone(number: number): boolean {
    return this.undos.has(number);
  }

  /** Events of one kind in order, those that were taken back among them. */
  ofKind(kind: RunEvent['kind']): readonly LoggedEvent[] {
    return this.byKind.get(kind) ?? [];
  }

  /** Events of one kind that stand, in order. */
  standing<Kind extends RunEvent['kind']>(kind: Kind): { entry: LoggedEvent; event: RunEventOf<Kind> }[] {
    return this.ofKind(kind)
      .filter((entry) => !this.isUndone(entry.number))
      .map((entry) => ({ entry, event: entry.event as RunEventOf<Kind> }));
  }

  /** The last standing event of a kind among the first `upTo` lines. */
  last<Kind extends RunEvent['kind']>(kind: Kind, upTo: number = this.count): RunEventOf<Kind> | null {
    const found = this.ofKind(kind).findLast(({ number }) => number <= upTo && !this.isUndone(number));
    return found === undefined ? null : (found.event as RunEventOf<Kind>);
  }

  /** An undo may itself be undone by a later one; what it took back stands again then, and so on down. */
  private takeBack(by: number, target: number): void {
    let [undo, named, change] = [by, target, 1];
    while (named < undo) {
      const before = this.undos.get(named) ?? 0;
      if (before + change === 0) this.undos.delete(named);
      else this.undos.set(named, before + change);
      // Only where the named one changes from standing to undone, or back, does that which it names change.
      const event = this.entries[named - 1].event;
      if (before * (before + change) !== 0 || event?.kind !== 'undo') return;
      [undo, named, change] = [named, event.event, -change];
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
    const benches = this.log.ofKind('bench').map((entry) => entry.number);
    return new Set(benches.filter((number) => this.log.isUndone(number)));
  }
}
