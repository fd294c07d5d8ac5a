import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { roundTogether } from '../../bridge/calc-core/rounding.ts';
import { setRows } from '../../bridge/run/set-rows.ts';
import type { NullView } from '../../bridge/run/view.ts';
import { SessionFeed } from '../../bridge/serve/session-feed.ts';
import { type Change, withChanges } from '../../bridge/session/view-patch.ts';
import { handDrivenSession } from './hand-driven-session.ts';
import { sampleComparison, sampleNull, sampleSet } from './sample-view.ts';

const MOST_CHARACTERS = 4096;
const UNSEEN_CM = 1e-7;
/** A twentieth of what the readings leave: some digits change by it. */
const LITTLE_CM = 2e-4;

const nullsOf = (count: number, shiftCm: number): NullView[] =>
  Array.from({ length: count }, (_, index) =>
    sampleNull({ id: `n${index + 1}`, lengthCm: 743.21173 + 0.0013 * index + shiftCm, picture: null }),
  );

/** A page that is served by a feed: what it holds, and what the last frame cost it. */
function pageOf(nulls: readonly NullView[]) {
  const driven = handDrivenSession('run');
  driven.change({ nulls: [...nulls] });
  const feed = new SessionFeed(driven.session, { watching: () => true, news: () => {} });
  let revision = 0;
  let held: { nulls: NullView[]; work: ReturnType<typeof sampleComparison> } | null = null;
  const take = () => {
    const log = feed.log(false);
    const member = log.since(revision);
    revision = log.revision;
    const frame = JSON.parse(`{${member}}`) as { view?: typeof held; changes?: Change[] };
    held = frame.view ?? (held === null ? null : withChanges(held, frame.changes ?? []));
    return member.length;
  };
  take();
  return { driven, take, held: () => held, close: () => feed.close() };
}

const texts = (nulls: readonly NullView[] = []) =>
  nulls.map(({ lengthCm, uCm }) => roundTogether(lengthCm, uCm).value);

describe('a page that watches a run', () => {
  beforeEach(() => vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] }));
  afterEach(() => vi.useRealTimers());

  it('is not told of nulls that moved by less than it shows', () => {
    const page = pageOf(nullsOf(600, 0));
    page.driven.change({ nulls: nullsOf(600, UNSEEN_CM) });
    vi.advanceTimersByTime(1000);
    expect(page.take()).toBe(0);
    page.close();
  });

  it('is told every digit that it shows where few nulls moved', () => {
    const page = pageOf(nullsOf(8, 0));
    const moved = nullsOf(8, 0.0004);
    expect(texts(moved)).not.toEqual(texts(nullsOf(8, 0)));
    page.driven.change({ nulls: moved });
    vi.advanceTimersByTime(1000);
    page.take();
    expect(texts(page.held()?.nulls)).toEqual(texts(moved));
    page.close();
  });

  it('pays little for a null that moves hundreds of others a little, and shows every digit a minute later', () => {
    const page = pageOf(nullsOf(600, 0));
    const moved = [...nullsOf(600, LITTLE_CM), sampleNull({ id: 'n601', lengthCm: 621.7 })];
    expect(texts(moved.slice(0, 600))).not.toEqual(texts(nullsOf(600, 0)));
    page.driven.change({ nulls: moved });
    vi.advanceTimersByTime(1000);
    expect(page.take()).toBeLessThan(MOST_CHARACTERS);
    expect(page.held()?.nulls).toHaveLength(601);
    vi.advanceTimersByTime(61_000);
    page.take();
    expect(texts(page.held()?.nulls)).toEqual(texts(moved));
    page.close();
  });

  it('is told of a null that moved far, however many there are', () => {
    const page = pageOf(nullsOf(600, 0));
    page.driven.change({ nulls: nullsOf(600, 0.1) });
    vi.advanceTimersByTime(1000);
    page.take();
    expect(texts(page.held()?.nulls)).toEqual(texts(nullsOf(600, 0.1)));
    page.close();
  });

  it('is told one number that moved far without those beside it that moved a little', () => {
    const page = pageOf(nullsOf(600, 0));
    const far = nullsOf(600, LITTLE_CM).map((one) => ({ ...one, sensitivityUaPerMm: 9.5 }));
    page.driven.change({ nulls: far });
    vi.advanceTimersByTime(1000);
    page.take();
    const [first] = page.held()?.nulls ?? [];
    expect(first).toEqual({ ...nullsOf(600, 0)[0], sensitivityUaPerMm: 9.5 });
    page.close();
  });

  it('is told a rejection at once, however many nulls moved a little with it', () => {
    const page = pageOf(nullsOf(600, 0));
    const moved = nullsOf(600, LITTLE_CM);
    moved[2] = { ...moved[2], rejected: 'slipped', used: false };
    page.driven.change({ nulls: moved });
    vi.advanceTimersByTime(1000);
    expect(page.take()).toBeLessThan(MOST_CHARACTERS);
    expect(page.held()?.nulls[2]).toMatchObject({ rejected: 'slipped', used: false });
    page.close();
  });

  it('shows a table of sets with the decimals of the newest uncertainties', () => {
    const page = pageOf([]);
    const sets = [sampleSet, { ...sampleSet, set: 2, u1Cm: 0.01 }];
    page.driven.change({ work: sampleComparison(sets) });
    vi.advanceTimersByTime(1000);
    page.take();
    const coarser = sampleComparison([sampleSet, { ...sampleSet, set: 2, u1Cm: 0.2, u2Cm: 0.2 }]);
    page.driven.change({ work: coarser });
    vi.advanceTimersByTime(1000);
    page.take();
    expect(page.held()?.work.sets).toEqual(coarser.sets);
    expect(setRows(page.held()!.work)).toEqual(setRows(coarser));
    page.close();
  });
});
