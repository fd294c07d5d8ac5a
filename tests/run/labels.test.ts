import { expect, test } from 'vitest';
import { BenchReader, inForce } from '../../bridge/bench/reading.ts';
import { EventLog } from '../../bridge/run/event-log.ts';
import { labelsOf, resolveLabels } from '../../bridge/run/touch-labels.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { spokenRun } from '../report/runs.ts';

/** What is in force at the bench, as the page shows it and as nulls keep it: one rule for both. */

const bench = { kind: 'bench', bench: INVENTED_BENCH };
const spoken = (events: readonly object[]) => spokenRun(events).view;
const load = (isIn: boolean, ohm?: number) => ({ kind: 'load', in: isIn, ohm });

test('a load that is put in again keeps its resistance, on the page as in the null', () => {
  const view = spoken([bench, load(true, 10), load(false), load(true), { kind: 'length', scaleCm: 40 }]);
  expect(view.nulls[0]).toMatchObject({ load: true, loadOhm: 10 });
  expect(view.labels.load).toEqual({ value: true, from: 'operator', ohm: 10, uOhm: null });
});

test('a row that the wire does not have is none, on the page as in the null', () => {
  const view = spoken([bench, { kind: 'row', row: 17 }, { kind: 'length', scaleCm: 40 }]);
  expect(view.nulls[0].row).toBeNull();
  expect(view.labels.row).toEqual({ value: null, from: 'unknown' });
});

test('before the bench is known a row is believed as it was said', () => {
  expect(spoken([{ kind: 'row', row: 17 }]).labels.row).toEqual({ value: 17, from: 'operator' });
});

test('what was said and taken back is not known', () => {
  const view = spoken([bench, { kind: 'cell', cell: 2 }, { kind: 'undo', event: 2 }]);
  expect(view.labels.cell).toEqual({ value: null, from: 'unknown' });
});

test('what the board senses stands above what was said', () => {
  const said = { cell: 1, row: 3, protect: false, load: true };
  const sensed = { cell: 2, row: 0, protect: true, load: false };
  // row 0: sensed, and none found
  expect(inForce(sensed, said, 10)).toEqual({ cell: 2, row: null, protect: true, load: false });
  expect(inForce({ ...sensed, cell: null, row: null }, said, 10)).toMatchObject({ cell: 1, row: 3 });
  expect(inForce({ ...sensed, row: null }, said, 1).row).toBe(1);
});

test('a two-way key that puts in both cells names none of them', () => {
  const reader = new BenchReader(INVENTED_BENCH);
  const both = labelsOf({ cell: 3, row: 2, protect: true, load: null }, reader, 0);
  expect(resolveLabels(both, new EventLog())).toMatchObject({
    cell: null,
    row: 2,
    protect: true,
    load: false,
  });
});
