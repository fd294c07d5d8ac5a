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
  /** By the number of an event: how many standing undos name it, and which one it takes back itself; 0 for none. */
  private readonly undos = [0];
  private readonly takesBack = [0];

  /** Adds the next `!` line. Its number counts whether or not it can be understood. */
  add(json: string, ms: number, atS: number | null): LoggedEvent {
    const event = readEvent(json);
    const entry = { number: this.entries.length + 1, ms, atS, event };
    this.entries.push(entry);
    this.undos.push(0);
    this.takesBack.push(event?.kind === 'undo' && event.event < entry.number ? event.event : 0);
    if (event === null) return entry;
    const same = this.byKind.get(event.kind);
    if (same === undefined) this.byKind.set(event.kind, [entry]);
    else same.push(entry);
    this.takeBack(this.takesBack[entry.number]);
    return entry;
  }

  get count(): number {
    return this.entries.length;
  }

  /** Numbers of those that could not be understood and have not been taken back. */
  get unreadable(): number[] {
    return this.entries
      .filter(({ event, number }) => event === null && !this.isUndone(number))
      .map(({ number }) => number);
  }

  isUndone(number: number): boolean {
    return this.undos[number] > 0;
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

  /**
   * The last standing event of a kind among the first `upTo` lines.
   * @param fits which of them may be meant
   */
  last<Kind extends RunEvent['kind']>(
    kind: Kind,
    upTo: number = this.count,
    fits: (event: RunEventOf<Kind>) => boolean = () => true,
  ): RunEventOf<Kind> | null {
    const entries = this.ofKind(kind);
    for (let index = entriesUpTo(entries, upTo) - 1; index >= 0; index -= 1) {
      const event = entries[index].event as RunEventOf<Kind>;
      if (!this.isUndone(entries[index].number) && fits(event)) return event;
    }
    return null;
  }

  /** An undo may itself be undone by a later one; what it took back stands again then, and so on down. */
  private takeBack(target: number): void {
    let change = 1;
    for (let named = target; named > 0; named = this.takesBack[named]) {
      const before = this.undos[named];
      this.undos[named] = before + change;
      // Only where this one changes from standing to undone, or back, does what it takes back change.
      if (before > 0 && before + change > 0) return;
      change = -change;
    }
  }
}

/** How many of some entries have a number of at most `upTo`, by halving: there may be thousands. */
function entriesUpTo(entries: readonly LoggedEvent[], upTo: number): number {
  let [low, high] = [0, entries.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (entries[middle].number <= upTo) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * Numbers of the `bench` events that a recording takes back. They change how every later sample reads, so they must be known
 * before the first.
 * @param lines the JSON texts of all its `!` lines
 */
export function benchesTakenBack(lines: Iterable<string>): ReadonlySet<number> {
  const log = new EventLog();
  for (const json of lines) log.add(json, 0, null);
  const benches = log.ofKind('bench').map((entry) => entry.number);
  return new Set(benches.filter((number) => log.isUndone(number)));
}
