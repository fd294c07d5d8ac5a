import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { changesBetween, withChanges } from '../../bridge/session/view-patch.ts';

const json = fc.jsonValue({ maxDepth: 4 });
const throughJson = <Value>(value: Value): Value => JSON.parse(JSON.stringify(value));

describe('changes of a view', () => {
  it('make the one of the other, also after they went through JSON, and touch neither', () => {
    fc.assert(
      fc.property(json, json, (before, after) => {
        const [kept, wanted] = [throughJson(before), throughJson(after)];
        const changes = throughJson(changesBetween(kept, wanted));
        expect(withChanges(kept, changes)).toEqual(wanted);
        expect(kept).toEqual(throughJson(before));
        expect(changesBetween(wanted, throughJson(wanted))).toEqual([]);
      }),
      { numRuns: 2000 },
    );
  });

  it('hold a field of a bench file that is called __proto__', () => {
    const after = JSON.parse('{"bench":{"__proto__":{"a":1}}}');
    const changes = throughJson(changesBetween({ bench: {} }, after));
    expect(Object.hasOwn(withChanges({ bench: {} }, changes).bench, '__proto__')).toBe(true);
    expect(({} as { a?: number }).a).toBeUndefined();
  });

  it('name the place that changed and nothing else', () => {
    const before = { nulls: [{ id: 'n1', used: true }, { id: 'n2' }], about: { by: ['a'] }, zero: null };
    const after = { nulls: [{ id: 'n1', used: false }, { id: 'n2' }, { id: 'n3' }], about: {}, zero: null };
    expect(changesBetween(before, after)).toEqual([
      [['nulls', 0, 'used'], false],
      [['nulls', 2], { id: 'n3' }],
      [['about', 'by']],
    ]);
    expect(changesBetween(after, before)).toContainEqual([['nulls', 'length'], 2]);
  });

  it('leave what they do not touch the very same', () => {
    const before = { nulls: [{ id: 'n1' }, { id: 'n2', picture: { points: [1, 2] } }], bench: { name: 'a' } };
    const after = withChanges(before, [[['nulls', 0, 'id'], 'n9']]);
    expect(after.nulls[0]).toEqual({ id: 'n9' });
    expect(after.nulls[1]).toBe(before.nulls[1]);
    expect(after.bench).toBe(before.bench);
    expect(before.nulls[0]).toEqual({ id: 'n1' });
  });
});
