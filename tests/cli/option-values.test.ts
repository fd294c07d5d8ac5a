import { expect, it } from 'vitest';
import { ohmRange } from '../../bridge/commands/option-values.ts';

it('reads a range of resistance from two numbers and no other', () => {
  expect(ohmRange('2-15.5')).toEqual([2, 15.5]);
  for (const text of ['0-20-30', '20', '20-2', '-5-10', '5-', '0-Infinity', 'a-b'])
    expect(() => ohmRange(text)).toThrow('a range such as 0-20');
});
