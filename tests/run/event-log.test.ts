import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { benchesTakenBack, EventLog } from '../../bridge/run/event-log.ts';

function logOf(...events: unknown[]): EventLog {
  const log = new EventLog();
  for (const event of events) log.add(typeof event === 'string' ? event : JSON.stringify(event), 0, null);
  return log;
}

const cell = (number: number) => ({ kind: 'cell', cell: number });
const undo = (event: number) => ({ kind: 'undo', event });

describe('event log', () => {
  it('counts every `!` line from 1, also those that it cannot understand', () => {
    const log = logOf(cell(1), 'no json', { kind: 'later-version' }, cell(2), undo(4));
    expect(log.unreadable).toHaveLength(2);
    expect(log.entries.map(({ number }) => number)).toEqual([1, 2, 3, 4, 5]);
    expect(log.last('cell')).toMatchObject({ cell: 1 });
  });

  it('takes no set for one that is no whole number from 1 to 9999', () => {
    const inSet = (set: number) => [
      { kind: 'set', set },
      { kind: 'length', cell: 1, set, row: 1, scaleCm: 10 },
      { kind: 'assign', null: 'n1', set },
    ];
    expect(logOf(...inSet(1), ...inSet(9999)).unreadable).toHaveLength(0);
    expect(logOf(...[0, 1.5, 10_000, 1e21].flatMap(inSet)).unreadable).toHaveLength(12);
  });

  it('takes no event that is nested too deep to be written again', () => {
    const bench = (levels: number) =>
      `{"kind":"bench","bench":{"more":${'['.repeat(levels)}${']'.repeat(levels)}}}`;
    expect(logOf(bench(60)).unreadable).toHaveLength(0);
    expect(logOf(bench(70), bench(30_000)).unreadable).toHaveLength(2);
  });

  it('takes back and gives back: an undo may be undone, and that undone again', () => {
    expect(logOf(cell(1), cell(2), undo(2)).last('cell')).toMatchObject({ cell: 1 });
    expect(logOf(cell(1), cell(2), undo(2), undo(3)).last('cell')).toMatchObject({ cell: 2 });
    expect(logOf(cell(1), cell(2), undo(2), undo(3), undo(4)).last('cell')).toMatchObject({ cell: 1 });
    expect(logOf(cell(1), undo(1)).last('cell')).toBeNull();
  });

  it('takes nothing back that comes later, and itself least of all', () => {
    expect(logOf(undo(2), cell(1)).isUndone(2)).toBe(false);
    expect(logOf(undo(1)).isUndone(1)).toBe(false);
    expect(logOf(cell(1), undo(99)).last('cell')).toMatchObject({ cell: 1 });
  });

  it('answers what stood at an earlier line in the light of what was taken back since', () => {
    const log = logOf(cell(1), { kind: 'row', row: 3 }, cell(2), undo(1));
    expect(log.last('cell', 2)).toBeNull();
    expect(log.last('cell', 3)).toMatchObject({ cell: 2 });
    expect(log.standing('cell').map(({ entry }) => entry.number)).toEqual([3]);
  });

  it('refuses events that make no sense, and keeps fields that it does not know', () => {
    const log = logOf(
      cell(4),
      { kind: 'row', row: 0 },
      { kind: 'set', set: 1.5 },
      { kind: 'load', in: true, ohm: -3 },
      { kind: 'reject', null: 'x1', reason: 'no' },
      { kind: 'note', text: 'by hand', author: 'second pair' },
    );
    expect(log.unreadable).toHaveLength(5);
    expect(log.last('note')).toMatchObject({ author: 'second pair' });
  });

  it('agrees with folding backwards by hand, whatever was undone', () => {
    const entry = fc.oneof(fc.constantFrom(1, 2).map(cell), fc.integer({ min: 1, max: 14 }).map(undo));
    fc.assert(
      fc.property(fc.array(entry, { maxLength: 12 }), (events) => {
        const log = logOf(...events);
        const stands = events.map(() => true);
        for (let at = events.length - 1; at >= 0; at -= 1) {
          const event = events[at];
          if ('event' in event && stands[at] && event.event <= at) stands[event.event - 1] = false;
        }
        expect(events.map((_, at) => !log.isUndone(at + 1))).toEqual(stands);
      }),
    );
  });

  it('names the benches that are taken back in the end', () => {
    const bench = { kind: 'bench', bench: {} };
    const undone = (...events: unknown[]) => [
      ...benchesTakenBack(events.map((event) => JSON.stringify(event))),
    ];
    expect(undone(bench, bench, undo(2))).toEqual([2]);
    expect(undone(bench, bench, undo(2), undo(3))).toEqual([]);
    expect(undone(bench, cell(1), undo(2))).toEqual([]);
  });
});
