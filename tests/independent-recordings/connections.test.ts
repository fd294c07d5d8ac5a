import { describe, expect, it } from 'vitest';
import type { Finding } from '../../bridge/run/view.ts';
import { foldText } from './fold-text.ts';
import type { BoardSpec } from './writer/board.ts';
import { ALL, CONTACT } from './writer/board.ts';
import type { OutsideRun } from './writer/run.ts';
import type { Choice } from './writer/student.ts';
import { begin, fineNull, SWEEPS, tapEnds } from './writer/student.ts';

/**
 * Faults of connection at a bench with its own circuit. The protective resistance of the first bench leaves the
 * deflections within the span, that of the second lets the ends saturate: only their signs tell then.
 */

const OPEN_SPAN = { protectOhm: 22_000 };
const UNSENSED = { senses: ALL & ~CONTACT };
const NO_AMMETER = { channels: ['gal', 'pos'] as BoardSpec['channels'] };

type Fault = [Choice['bench'], (run: OutsideRun) => void];
const none = () => {};

const FAULTS: Record<string, Fault> = {
  none: [{}, none],
  'cell 1 reversed': [{ reversedCell: 1 }, none],
  'cell 2 reversed': [{ reversedCell: 2 }, none],
  'driver too weak': [
    {},
    (run) => {
      run.setting.rheostatOhm = 36;
    },
  ],
  'key open': [
    {},
    (run) => {
      run.setting.keyClosed = false;
    },
  ],
  'driver reversed': [{ reversedDriver: true }, none],
  'leads swapped': [{ swappedLeads: true }, none],
  'wire broken': [
    {},
    (run) => {
      run.setting.brokenCm = 480;
    },
  ],
  'branch open': [
    {},
    (run) => {
      run.setting.branchOpen = true;
    },
  ],
};

const PLACES = [4, 150, 350, 550, 750, 996];

/** Both cells tapped along the wire with the protective resistance in, and what was found for each. */
function survey(
  fault: string,
  board: Partial<BoardSpec>,
  bench: Choice['bench'],
  places = PLACES,
): Record<string, Finding[]> {
  const [own, set] = FAULTS[fault];
  const run = begin({ seed: 5, board, bench: { ...bench, ...own } });
  set(run);
  run.useProtection(true);
  run.lift(3);
  for (const cell of [1, 2] as const) {
    run.useCell(cell);
    run.lift(1.2);
    for (const place of places) {
      run.tap(place);
      run.lift(0.6);
    }
  }
  run.lift(3);
  const { findings } = foldText(run.text).view();
  const of = (cell: number) => findings.filter((finding) => finding.cell === cell);
  return { 1: of(1), 2: of(2), all: findings.filter(({ code }) => code === 'galvanometer-reversed') };
}

const code = (findings: Finding[]) => findings.map((finding) => `${finding.code} ${finding.severity}`);
const NOT_YET = ['null-not-bracketed note'];

describe.each([
  ['a board that senses contact', {}],
  ['a board that does not', UNSENSED],
  ['a board that senses nothing', { senses: 0 }],
])('%s', (_, board) => {
  it.each([
    ['none', NOT_YET, NOT_YET],
    ['cell 1 reversed', ['cell-reversed stop'], NOT_YET],
    ['cell 2 reversed', NOT_YET, ['cell-reversed stop']],
    ['driver too weak', ['driver-below-cell stop'], ['driver-below-cell stop']],
    ['key open', ['driver-current-none stop'], ['driver-current-none stop']],
    ['driver reversed', ['driver-reversed stop'], ['driver-reversed stop']],
    ['wire broken', ['wire-broken stop'], ['wire-broken stop']],
  ])('tells from unsaturated taps: %s', (fault, first, second) => {
    const found = survey(fault, board, OPEN_SPAN);
    expect([code(found[1]), code(found[2])]).toEqual([first, second]);
    expect(found.all).toEqual([]);
    // Decided: no other cause is named.
    for (const finding of [...found[1], ...found[2]]) expect(finding.text).not.toContain('; or ');
  });

  it('says that leads are swapped, once, and goes on', () => {
    const found = survey('leads swapped', board, OPEN_SPAN);
    expect([code(found[1]), code(found[2])]).toEqual([NOT_YET, NOT_YET]);
    expect(code(found.all)).toEqual(['galvanometer-reversed warn']);
  });

  it.each([
    ['driver reversed', /no driver current flows.*; or the driver cell is reversed/],
    ['key open', /no driver current flows.*; or the driver cell is reversed/],
  ])(
    'leaves every cause where ends saturate and a one-way meter reads nothing: %s',
    (fault, expectedText) => {
      const found = survey(fault, board, {}, [4, 996]);
      expect(code(found[1])).toEqual(['driver-current-none stop']);
      expect(found[1][0].text).toMatch(expectedText);
    },
  );
});

describe('without an ammeter channel', () => {
  it.each([
    ['none', NOT_YET, /./],
    [
      'cell 1 reversed',
      ['cell-reversed stop'],
      /this cell is reversed; or the driver cell is reversed and the galvanometer's leads/,
    ],
    ['driver too weak', ['driver-below-cell stop'], /too weak/],
    ['key open', ['driver-current-none stop'], /no driver current flows/],
    [
      'driver reversed',
      ['driver-reversed stop'],
      /the driver cell is reversed; or this cell is reversed and the galvanometer's leads/,
    ],
    ['wire broken', ['wire-broken stop'], /is broken there/],
  ])('tells from unsaturated taps: %s', (fault, expected, expectedText) => {
    const found = survey(fault, NO_AMMETER, OPEN_SPAN);
    expect(code(found[1])).toEqual(expected);
    expect(found[1][0].text).toMatch(expectedText);
  });
});

describe('no deflection anywhere', () => {
  it('is an open branch where the jockey is known to touch', () => {
    const found = survey('branch open', {}, OPEN_SPAN);
    expect([code(found[1]), code(found[2])]).toEqual([
      ['no-galvanometer-current stop'],
      ['no-galvanometer-current stop'],
    ]);
  });

  it('may be a lifted jockey where it is not: a note, for the cell in circuit', () => {
    const [own, set] = FAULTS['branch open'];
    const run = begin({ board: UNSENSED, bench: own });
    set(run);
    for (const place of [4, 120, 340, 560, 780, 996, 30, 70]) {
      run.tap(place, 2);
      run.lift(1.5);
    }
    const { findings } = foldText(run.text).view();
    expect(findings).toMatchObject([{}, { code: 'no-galvanometer-current', severity: 'note', cell: 1 }]);
    expect(findings[1].text).toContain('a lifted jockey would look the same');
  });

  it('is no note while the jockey rests, nor where this cell has deflected before', () => {
    const rested = begin({ board: UNSENSED });
    rested.lift(60);
    const worked = begin({ board: UNSENSED });
    tapEnds(worked);
    fineNull(worked, SWEEPS);
    worked.lift(40);
    for (const run of [rested, worked])
      expect(
        foldText(run.text)
          .view()
          .findings.map((finding) => finding.code),
      ).not.toContain('no-galvanometer-current');
  });
});

describe('a null that was found', () => {
  it('is found beside swapped leads, and both findings are given', () => {
    const run = begin({ bench: { swappedLeads: true } });
    tapEnds(run);
    const truth = run.truthCm();
    fineNull(run, SWEEPS);
    const { nulls, findings } = foldText(run.text).view();
    expect(nulls).toHaveLength(2);
    for (const nullPoint of nulls) {
      expect(nullPoint.used).toBe(true);
      expect(Math.abs(nullPoint.lengthCm! - truth)).toBeLessThan(3 * nullPoint.uCm);
    }
    expect(findings.filter((finding) => finding.code === 'galvanometer-reversed')).toHaveLength(1);
  });

  it('with driver and cells all reversed differs from swapped leads at a one-way meter', () => {
    const run = begin({ bench: { reversedDriver: true, reversedCell: 1 } });
    tapEnds(run);
    fineNull(run, SWEEPS);
    const { nulls, findings } = foldText(run.text).view();
    expect(nulls).toHaveLength(2);
    expect(findings).toEqual(
      expect.arrayContaining([expect.objectContaining({ code: 'driver-reversed', severity: 'warn' })]),
    );
  });

  it('is none where a sweep crosses a broken wire', () => {
    for (const protect of [true, false]) {
      const run = begin({ bench: OPEN_SPAN });
      run.setting.brokenCm = 455;
      tapEnds(run);
      run.useProtection(protect);
      run.sweep(440, 470, 5);
      run.sweep(470, 440, 5);
      const view = foldText(run.text).view();
      expect(view.nulls).toEqual([]);
      expect(view.findings.map((finding) => finding.code)).toContain('wire-broken');
    }
  });
});
