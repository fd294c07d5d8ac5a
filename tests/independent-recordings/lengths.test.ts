import { describe, expect, it } from 'vitest';
import type { NullView } from '../../bridge/run/view.ts';
import { codes, viewOf } from './fold-text.ts';
import { outsideBench, placeOf } from './writer/bench.ts';
import { ALL, CONTACT, ROW } from './writer/board.ts';
import type { OutsideRun } from './writer/run.ts';
import type { Choice, Comparison, Fine } from './writer/student.ts';
import { begin, compare, SWEEPS } from './writer/student.ts';

/**
 * Lengths against the truth, over runs drawn anew: errors in units of the standard uncertainty that is stated must be
 * spread as a standard normal is. The sensor's error is drawn as the bench file says; what is left without it must be
 * explained by the uncertainty of the readings.
 */

const TAPS: Fine = { by: 'taps', reachCm: 2, seconds: 1 };
const SHORT: Fine = { ...SWEEPS, seconds: 3 };
const UNSENSED = { senses: ALL & ~CONTACT };
const BOTH_WRAP = { firstTUs: 4294967296 - 20e6, firstSeq: 65_536 - 4000 };

/** Name, bench and board, procedure, and findings that must be there; no others may. */
const VARIANTS: [string, Choice, Comparison, string[]?][] = [
  ['all sensed', {}, {}],
  ['zero end right, many points with falling counts', { bench: { zeroEnd: 'right', points: 'falling' } }, {}],
  ['zero end right, taps', { bench: { zeroEnd: 'right', points: 'many' } }, { fine: TAPS }],
  ['taps', {}, { fine: TAPS }],
  ['one direction only', {}, { fine: { ...SHORT, by: 'one-way' } }],
  ['order 1-2-2-1', {}, { order: [1, 2, 2, 1] }],
  ['contact not sensed', { board: UNSENSED }, {}],
  ['contact not sensed, taps', { board: UNSENSED }, { fine: TAPS }],
  ['contact not sensed, one direction', { board: UNSENSED }, { fine: { ...SHORT, by: 'one-way' } }],
  ['contact not sensed, lag of 8 ms', { board: UNSENSED, lagMs: 8 }, {}],
  ['row not sensed', { board: { senses: ALL & ~ROW } }, {}],
  ['nothing sensed, both counters wrap', { board: { senses: 0, ...BOTH_WRAP } }, {}],
  ['both counters wrap', { board: BOTH_WRAP }, {}],
  ['lag of 8 ms, one direction', { lagMs: 8 }, { fine: { ...SHORT, by: 'one-way' } }],
  ['500 Hz, 16 bits', { board: { rateHz: 500, bits: 16 } }, {}],
  ['10 bits', { board: { bits: 10 } }, {}],
  ['14 bits, many points', { board: { bits: 14 }, bench: { points: 'many' } }, {}],
  ['zero 45 counts off', { bench: { zeroOff: 45 } }, {}, ['galvanometer-zero-moved']],
  [
    'zero 30 counts off, contact not sensed',
    { bench: { zeroOff: -30 }, board: UNSENSED },
    {},
    ['galvanometer-zero-moved'],
  ],
  ['mains hum', { humUa: 0.6 }, {}],
  ['fast sweeps', {}, { fine: { by: 'sweeps', reachCm: 5, seconds: 0.8 } }],
  ['slow sweeps', {}, { fine: { by: 'sweeps', reachCm: 1.5, seconds: 8 } }],
  ['sweeps out into saturation', {}, { fine: { by: 'sweeps', reachCm: 12, seconds: 5 } }],
  ['leads swapped', { bench: { swappedLeads: true } }, {}, ['galvanometer-reversed']],
  ['noisy position', { posNoiseCm: 0.1 }, {}],
  ['damaged lines', { damagedShare: 0.01 }, {}, ['samples-lost', 'lines-damaged']],
  ['key opened between the sets', {}, { opensKey: true }],
  [
    'sets said, no ammeter',
    { board: { channels: ['gal', 'pos'] } },
    { recordsSets: true },
    ['budget-row-absent'],
  ],
  ['slow drift of the driver', { driftPerS: -8e-6 }, { order: [1, 2, 2, 1] }],
];

/** The same bench with a file that is silent of nothing: no default stands in for what nobody stated. */
function stated(choice: Choice): Choice {
  const { wire, cells } = outsideBench(choice.bench).file as Record<string, Record<string, object>>;
  const steady = (cell: '1' | '2') => ({ ...cells[cell], steadyRelativePerMin: 1e-6 });
  const file = {
    wire: { ...wire, rowSpreadRelative: 1e-5 },
    cells: { '1': steady('1'), '2': steady('2') },
    endCorrection: { valueCm: 0.4, standardUncertaintyCm: 0.2 },
    thermalEmfUv: 0.1,
  };
  return { ...choice, bench: { ...choice.bench, file } };
}

const RHEOSTATS = [8, 10.5];
const RUNS = 2;

interface Score {
  /** Error over the whole stated uncertainty. */
  whole: number;
  /** Error left without the sensor's, over the uncertainty of the readings. */
  read: number;
}

function scoreOf(run: OutsideRun, nullPoint: NullView): Score {
  run.setting.rheostatOhm = RHEOSTATS[nullPoint.set! - 1];
  const truth = run.truthAtCm(nullPoint.cell as 1 | 2, nullPoint.atS);
  const place = placeOf(run.bench, truth);
  expect(nullPoint.row).toBe(place.row);
  const withScale = (place.row % 2 === 1) === (run.bench.zeroEnd === 'left');
  const sensor = run.scaleErrorCm(place.scaleCm) * (withScale ? 1 : -1);
  const error = nullPoint.lengthCm! - truth;
  return { whole: error / nullPoint.uCm, read: (error - sensor) / nullPoint.uReadCm };
}

const rms = (values: number[]) =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

describe('lengths of recordings written outside', () => {
  const all: Score[] = [];

  it.each(VARIANTS.map((variant, index) => [...variant, index] as const))('%s', (_, choice, how, ...rest) => {
    const index = rest[rest.length - 1] as number;
    const expected = rest.length > 1 ? (rest[0] as string[]) : [];
    const scores: Score[] = [];
    for (let seed = 1; seed <= RUNS; seed += 1) {
      const run = begin({ ...stated(choice), seed: 100 * index + seed });
      const method = { rheostatsOhm: RHEOSTATS, fine: SHORT, ...how };
      const truth = compare(run, method);
      run.lift(2);
      const view = viewOf(run.text);
      const passes = method.fine.by === 'sweeps' ? 2 : 1;
      expect(view.nulls).toHaveLength(2 * (how.order?.length ?? 2) * passes);
      expect(view.nulls.every((nullPoint) => nullPoint.used && nullPoint.fine)).toBe(true);
      expect([...new Set(codes(view))].sort()).toEqual([...expected].sort());
      expect(view.work.sets.map(({ set }) => set)).toEqual(truth.map(({ set }) => set));
      scores.push(...view.nulls.map((nullPoint) => scoreOf(run, nullPoint)));
    }
    for (const { whole } of scores) expect(Math.abs(whole)).toBeLessThan(3.6);
    expect(rms(scores.map(({ read }) => read))).toBeLessThan(2);
    all.push(...scores);
  });

  it('are spread about the truth as their stated uncertainties say', () => {
    expect(all.length).toBeGreaterThan(300);
    // Some hundred independent places: a root mean square within 20 % of one, whole; the readings no worse than half over.
    expect(rms(all.map(({ whole }) => whole))).toBeGreaterThan(0.8);
    expect(rms(all.map(({ whole }) => whole))).toBeLessThan(1.2);
    expect(rms(all.map(({ read }) => read))).toBeLessThan(1.5);
    const mean = all.reduce((sum, { read }) => sum + read, 0) / all.length;
    expect(Math.abs(mean)).toBeLessThan(0.3);
  });
});
