import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { loadFormulas } from '../../bridge/calc-core/formulas.ts';
import { Run } from '../../bridge/run/run.ts';
import { type ScenePatch, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { foldText, newFold, recordsOf, viewOf } from '../independent-recordings/fold-text.ts';
import { begin, compare, SWEEPS, tapEnds } from '../independent-recordings/writer/student.ts';
import { sweepSteps } from '../simulate/readings.ts';

const fixture = (name: string) => readFileSync(new URL(`../../fixtures/${name}`, import.meta.url), 'utf8');

/** A short run with everything in it: ends, sweeps, taps, a damaged line now and then. */
function shortRun(senses = 0x1f): string {
  const run = begin({ seed: 3, damagedShare: 0.003, bench: { zeroOff: 12 }, board: { senses } });
  tapEnds(run);
  compare(run, { fine: { ...SWEEPS, seconds: 2 } });
  run.useProtection(false);
  run.tapsAbout([-1, 1, -0.5, 0.4]);
  run.message({ kind: 'reject', null: 'n2', reason: 'slipped' });
  run.lift(5);
  return run.text;
}

const recordings: [string, string][] = [
  ['a short run', shortRun()],
  ['a short run without a sense', shortRun(0)],
  ['fixture of operator words', fixture('operator-words.rec')],
  ['fixture of internal resistance', fixture('internal-resistance.rec')],
];

describe.each(recordings)('the fold of %s', (_, text) => {
  const { records } = recordsOf(text);
  const whole = viewOf(text);

  it('finds nulls, and the same ones each time', () => {
    expect(whole.nulls.length).toBeGreaterThan(3);
    expect(viewOf(text)).toEqual(whole);
  });

  it('answers twice alike', () => {
    const fold = foldText(text);
    expect(fold.view()).toEqual(whole);
    expect(fold.view()).toEqual(whole);
  });

  it('ends at the same view however often it is looked at on the way', () => {
    const fold = newFold(records);
    const seen: string[][] = [];
    records.forEach((record, index) => {
      fold.addRecord(record);
      if (index % 997 === 0 || index === records.length - 2)
        seen.push(fold.view().nulls.map(({ id, set, cell }) => `${id},${set},${cell}`));
    });
    expect(seen.length).toBeGreaterThan(5);
    expect(fold.view()).toEqual(whole);
  });

  it('is at any moment what a fold of the records so far is', () => {
    const fold = newFold(records);
    const stops = [0.31, 0.52, 0.77, 0.93].map((share) => Math.floor(share * records.length));
    records.forEach((record, index) => {
      fold.addRecord(record);
      if (index % 400 === 0) fold.view();
      if (!stops.includes(index)) return;
      const fresh = newFold(records);
      for (const earlier of records.slice(0, index + 1)) fresh.addRecord(earlier);
      expect(fold.view()).toEqual(fresh.view());
    });
  });

  it('is plain data: nothing is lost on the way through JSON but the infinite', () => {
    const json = JSON.stringify(whole);
    expect(json).not.toContain('NaN');
    expect(JSON.parse(json).nulls).toEqual(JSON.parse(JSON.stringify(whole.nulls)));
    for (const nullPoint of whole.nulls) {
      expect(nullPoint.uCm).toBeGreaterThan(0);
      expect(Number.isFinite(nullPoint.uCm)).toBe(true);
    }
  });
});

describe('a recording that was damaged', () => {
  const text = shortRun();
  const whole = viewOf(text);
  const lines = text.split('\n');

  it('is read as far as it can be: never an exception, never an infinite or senseless number', () => {
    const damage = fc.oneof(
      fc.record({ what: fc.constant('cut' as const), at: fc.nat(), size: fc.integer({ min: 1, max: 4000 }) }),
      fc.record({ what: fc.constant('byte' as const), at: fc.nat(), size: fc.integer({ min: 0, max: 255 }) }),
      fc.record({ what: fc.constant('swap' as const), at: fc.nat(), size: fc.integer({ min: 1, max: 900 }) }),
      fc.record({
        what: fc.constant('repeat' as const),
        at: fc.nat(),
        size: fc.integer({ min: 1, max: 900 }),
      }),
      fc.record({ what: fc.constant('line' as const), at: fc.nat(), size: fc.nat(5) }),
    );
    fc.assert(
      fc.property(fc.array(damage, { minLength: 1, maxLength: 6 }), (damages) => {
        const view = viewOf(
          damages.reduce((broken, { what, at, size }) => broke(broken, what, at, size), text),
        );
        for (const nullPoint of view.nulls) {
          expect(Number.isFinite(nullPoint.uCm)).toBe(true);
          expect(Number.isFinite(nullPoint.scaleCm)).toBe(true);
        }
        expect(view.stream.lostSamples).toBeGreaterThanOrEqual(0);
      }),
      { numRuns: 40 },
    );
  });

  it('loses only what was cut off its end', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 1, noNaN: true }), (share) => {
        const at = Math.floor(share * lines.length);
        const view = viewOf(`${lines.slice(0, at).join('\n')}\n`);
        expect(view.nulls.length).toBeLessThanOrEqual(whole.nulls.length);
        // What was found before the cut keeps its name and its place, as closely as was known by then.
        view.nulls.forEach((nullPoint, index) => {
          const { id, scaleCm, uReadCm, by } = whole.nulls[index];
          expect(nullPoint.id).toBe(id);
          if (by === 'sweep')
            expect(Math.abs(nullPoint.scaleCm - scaleCm)).toBeLessThan(
              8 * Math.hypot(uReadCm, nullPoint.uReadCm),
            );
        });
      }),
      { numRuns: 25 },
    );
  });
});

const EVENTS = [
  '{"kind":"bench","bench":{}}',
  '{"kind":"undo","event":2}',
  '{"kind":"undo","event":3}',
  '{"kind":"set","set":3}',
  '{"kind":"length","scaleCm":1e300,"uCm":0,"cell":1,"row":3}',
  '{"kind":"procedure","procedure":"internal-resistance"}',
];

function broke(
  text: string,
  what: 'cut' | 'byte' | 'swap' | 'repeat' | 'line',
  at: number,
  size: number,
): string {
  const from = at % text.length;
  if (what === 'cut') return text.slice(0, from) + text.slice(from + size);
  if (what === 'byte') return text.slice(0, from) + String.fromCharCode(size) + text.slice(from + 1);
  if (what === 'repeat') return text.slice(0, from) + text.slice(Math.max(0, from - size));
  const feed = text.indexOf('\n', from) + 1;
  if (what === 'line') return `${text.slice(0, feed)}${1e6} ! ${EVENTS[size]}\n${text.slice(feed)}`;
  return (
    text.slice(0, from) +
    text.slice(from + size, from + 2 * size) +
    text.slice(from, from + size) +
    text.slice(from + 2 * size)
  );
}

describe('a recording that ends while the jockey is on the wire', () => {
  it('keeps the null of the pass under way, once the run has ended', async () => {
    const steps = sweepSteps({
      row: 6,
      fromCm: 45,
      toCm: 55,
      secondsOfPasses: [3],
      pauseS: 0.3,
      profile: 'steady',
    }).slice(0, -2);
    const scene = sceneWith({
      task: {
        kind: 'script',
        procedure: 'emf-comparison',
        start: { rheostatOhm: 1.4, protect: false },
        steps,
      },
    } as ScenePatch);
    const fold = new Run({ formulas: await loadFormulas() });
    for (const record of simulateRun(scene)) fold.addRecord(record);
    expect(fold.view().nulls).toHaveLength(0);
    fold.end();
    expect(fold.view().nulls).toHaveLength(1);
    fold.end();
    expect(fold.view().nulls).toHaveLength(1);
  });
});
