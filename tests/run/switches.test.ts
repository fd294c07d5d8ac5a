import { expect, test } from 'vitest';
import { BenchReader } from '../../bridge/bench/reading.ts';
import { EventLog } from '../../bridge/run/event-log.ts';
import { resolveSwitches, switchesOfTouch } from '../../bridge/run/switches.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { runOfEvents } from '../report/runs.ts';

/** How the switches of the bench stand, as the page shows it and as nulls keep it: one rule for both. */

const bench = { kind: 'bench', bench: INVENTED_BENCH };
const viewOfEvents = (events: readonly object[]) => runOfEvents(events).view;
const load = (isIn: boolean, ohm?: number) => ({ kind: 'load', in: isIn, ohm });

test('a load that is put in again keeps its resistance, on the page as in the null', () => {
  const view = viewOfEvents([
    bench,
    load(true, 10),
    load(false),
    load(true),
    { kind: 'length', scaleCm: 40 },
  ]);
  expect(view.nulls[0]).toMatchObject({ load: true, loadOhm: 10 });
  expect(view.labels.load).toEqual({ value: true, from: 'operator', ohm: 10, uOhm: null });
});

test('a row that the wire does not have is none, on the page as in the null', () => {
  const view = viewOfEvents([bench, { kind: 'row', row: 17 }, { kind: 'length', scaleCm: 40 }]);
  expect(view.nulls[0].row).toBeNull();
  expect(view.labels.row).toEqual({ value: null, from: 'unknown' });
});

test('before the bench is known a row is taken as recorded', () => {
  expect(viewOfEvents([{ kind: 'row', row: 17 }]).labels.row).toEqual({ value: 17, from: 'operator' });
});

test('a switch whose event was undone is not known', () => {
  const view = viewOfEvents([bench, { kind: 'cell', cell: 2 }, { kind: 'undo', event: 2 }]);
  expect(view.labels.cell).toEqual({ value: null, from: 'unknown' });
});

test('what the board senses comes before events', () => {
  const said = { cell: 1, row: 3, protect: false, load: true };
  const sensed = { cell: 2, row: 7, protect: true, load: false };
  expect(resolveSwitches(sensed, said, 10)).toEqual(sensed);
  expect(resolveSwitches({ cell: null, row: null, protect: null, load: null }, said, 10)).toEqual(said);
});

test('a row that the board senses as none is not replaced by the event', () => {
  const said = { cell: 1, row: 3, protect: false, load: false };
  const rowOf = (row: number | null, rows: number | null) =>
    resolveSwitches({ cell: 1, row, protect: true, load: false }, said, rows).row;
  expect(rowOf(0, 10)).toBeNull();
  expect(rowOf(11, 10)).toBeNull();
  expect(rowOf(11, null)).toBe(11);
  expect(rowOf(null, 1)).toBe(1);
});

test('a two-way key that puts in both cells names none of them', () => {
  const sensed = { cell: 3, row: 2, protect: true, load: null };
  const both = { bench: new BenchReader(INVENTED_BENCH), events: 0, sensed };
  expect(switchesOfTouch(both, new EventLog())).toMatchObject({
    cell: null,
    row: 2,
    protect: true,
    load: false,
  });
});
