import { describe, expect, it } from 'vitest';
import { hostClock, resumedMs } from '../../bridge/recording/host-clock.ts';

const AT = Date.parse('2026-03-02T10:00:00Z');

describe('the clock of a recording', () => {
  it('counts from its start by a clock that nobody sets', () => {
    let now = 5000;
    const clock = hostClock(100, () => now);
    expect(clock()).toBe(100);
    now = 5250;
    expect(clock()).toBe(350);
  });

  it.each([
    ['by the start of the run', 60_000, '2026-03-02T09:30:00Z', null, 1_800_000],
    ['by the file, where the start is unknown', 60_000, null, AT - 5000, 65_000],
    ['by the file, where the start can not be', 60_000, '2026-03-02T11:00:00Z', AT - 5000, 65_000],
    ['by the file, where the start is no time', 60_000, 'yesterday', AT - 5000, 65_000],
    ['by the file, where the start is no age of ours', 60_000, '-200000-01-01T00:00:00Z', AT - 5000, 65_000],
    ['never back', 60_000, null, AT + 5000, 60_000],
    ['from the last line, where nothing is known', 60_000, null, null, 60_000],
  ])('goes on in a resumed recording %s', (_, lastMs, startedUtc, lastWrittenMs, expected) => {
    expect(resumedMs({ lastMs, startedUtc, lastWrittenMs }, AT)).toBe(expected);
  });
});
