import { expect, it } from 'vitest';
import type { NullView } from '../../bridge/run/view.ts';
import { fixtureRun } from '../report/runs.ts';
import { comparisonOf } from './work-of.ts';

/** A driver that falls moves every null along the wire: lengths as read lie apart, at one current they agree. */
const { view } = await fixtureRun('operator-words.rec');
const spread = (values: readonly number[]) => Math.max(...values) - Math.min(...values);

it.each([
  [1, 1],
  [1, 2],
  [2, 1],
  [2, 2],
])('the nulls of set %d, cell %d agree once they are brought to the set’s current', (set, cell) => {
  const nulls = view.nulls.filter((one) => one.used && one.set === set && one.cell === cell);
  const reading = Math.max(...nulls.map(({ uReadCm }) => uReadCm));
  const [read, brought] = [nulls.map(({ lengthCm }) => lengthCm ?? 0), nulls.map(broughtOf)];
  expect(nulls.length).toBeGreaterThan(1);
  expect(spread(read)).toBeGreaterThan(10 * reading);
  expect(spread(brought)).toBeLessThan(2 * reading);
  const row = comparisonOf(view).sets.find((one) => one.set === set);
  const lengthCm = (cell === 1 ? row?.l1Cm : row?.l2Cm) ?? Number.NaN;
  expect(lengthCm).toBeGreaterThanOrEqual(Math.min(...brought) - 1e-9);
  expect(lengthCm).toBeLessThanOrEqual(Math.max(...brought) + 1e-9);
});

it('a null that is not used is brought nowhere', () => {
  const unused = view.nulls.filter(({ used }) => !used);
  expect(unused.length).toBeGreaterThan(0);
  for (const one of unused) expect(one.broughtCm).toBeNull();
});

const broughtOf = ({ broughtCm }: NullView): number => broughtCm ?? Number.NaN;
