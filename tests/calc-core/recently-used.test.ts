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

test('what takes time to work out is kept when it comes, and counts as asked for when it is looked up', () => {
  const kept = new RecentlyUsed<string>(2);
  expect(kept.known('a')).toBeUndefined();
  kept.keep('a', 'A');
  kept.keep('b', 'B');
  expect(kept.known('a')).toBe('A');
  kept.keep('c', 'C');
  expect([kept.known('a'), kept.known('b'), kept.known('c')]).toEqual(['A', undefined, 'C']);
});
