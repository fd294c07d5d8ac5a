import { expect, test } from 'vitest';
import { RecentlyUsed } from '../../bridge/calc-core/recently-used.ts';

test('what was asked for lately is not worked out again, what was not is dropped', () => {
  const kept = new RecentlyUsed<string>(2);
  const workedOut: string[] = [];
  const ask = (asked: string) =>
    kept.get(asked, () => {
      workedOut.push(asked);
      return asked.toUpperCase();
    });
  expect(['a', 'b', 'a', 'c', 'a', 'b'].map(ask)).toEqual(['A', 'B', 'A', 'C', 'A', 'B']);
  expect(workedOut).toEqual(['a', 'b', 'c', 'b']);
});
