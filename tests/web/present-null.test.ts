import { describe, expect, it } from 'vitest';
import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { presentNull } from '../../web/app/present-null.ts';
import { marksOf } from '../../web/plots/plot-views.tsx';
import { fixtureRun } from '../report/runs.ts';

/** A replay at its end: four sets, the second cell in circuit. */
const { view } = await fixtureRun('comparison-four-sets.rec');
const seen = (rejected: readonly string[]): SessionView => {
  const nulls = view.nulls.map((one) => ({ ...one, rejected: rejected.includes(one.id) ? 'a slip' : null }));
  return { ...view, nulls } as Partial<SessionView> as SessionView;
};

describe('the large figure and the plot', () => {
  const newest = view.nulls.findLast(({ cell }) => cell === view.labels.cell.value)?.id ?? '';

  it.each([
    ['at first', []],
    ['after the newest was rejected', [newest]],
  ])('speak of the same null %s', (_, rejected) => {
    const there = seen(rejected);
    const named = marksOf(there, 'near', null).nulls.filter(({ isPresent }) => isPresent);
    expect(named.map(({ id }) => id)).toEqual([presentNull(there)?.id]);
    expect(named[0].id === newest).toBe(rejected.length === 0);
  });

  it('name none on the plot where the figure shows that of another set', () => {
    const ofSet = view.nulls.filter(({ set }) => set === view.labels.set.value).map(({ id }) => id);
    const there = seen(ofSet);
    expect(presentNull(there)?.set).toBeLessThan(view.labels.set.value ?? 0);
    expect(marksOf(there, 'near', null).nulls.some(({ isPresent }) => isPresent)).toBe(false);
  });
});
